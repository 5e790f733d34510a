// The logs of a job: what the columns were taken for, what they look like, and what was told beside them.
#include <algorithm>

#include "job_parts.hpp"
#include "log/log_unit.hpp"
#include "look.hpp"
#include "views.hpp"

namespace railseep::gui {

namespace {

std::string words_for(ChannelKind kind) {
  std::string text(kind == ChannelKind::unknown   ? "not known"
                   : kind == ChannelKind::ignored ? "left out"
                                                  : kind_name(kind));
  std::replace(text.begin(), text.end(), '_', ' ');
  return text;
}

/// What a column may be taken for; that it is not known is nothing to choose.
std::vector<ChannelKind> columns_to_choose() {
  std::vector<ChannelKind> kinds;
  for (const ChannelRow& row : channel_rows)
    if (row.kind != ChannelKind::unknown) kinds.push_back(row.kind);
  return kinds;
}

void draw_kind(JobLog& log, const ColumnLayout& column) {
  ImGui::SetNextItemWidth(-1);
  if (!ImGui::BeginCombo("##kind", words_for(column.kind).c_str(), ImGuiComboFlags_HeightLarge)) return;
  for (const ChannelKind kind : columns_to_choose()) {
    const bool taken = ImGui::Selectable(words_for(kind).c_str(), kind == column.kind);
    note_widget(words_for(kind));
    if (!taken) continue;
    ColumnOptions& told = told_column(log, column);
    told.kind = kind;
    told.unit.reset();
  }
  ImGui::EndCombo();
}

void draw_unit(JobLog& log, const ColumnLayout& column) {
  ImGui::SetNextItemWidth(-1);
  if (!ImGui::BeginCombo("##unit", column.unit.empty() ? "-" : printed_unit(column.unit).c_str(),
                         ImGuiComboFlags_HeightLarge))
    return;
  for (const Unit& unit : units()) {
    if (unit.symbol.empty() || !unit_fits(column.kind, unit.quantity)) continue;
    const std::string symbol(unit.symbol);
    if (ImGui::Selectable(printed_unit(symbol).c_str(), symbol == column.unit)) told_column(log, column).unit = symbol;
    note_widget(symbol);
  }
  ImGui::EndCombo();
}

/// What is told of a column so far.
ColumnOptions told_so_far(const JobLog& log, const ColumnLayout& column) {
  for (const ColumnOptions& told : log.options.columns)
    if (told.column == column.header || told.column == std::to_string(column.number)) return told;
  return {};
}

/// What is told of a column besides its kind and unit: rarely needed, so behind a button.
void draw_column_details(JobLog& log, const ColumnLayout& column, const ShownUnits& units) {
  const std::string id = "column " + std::to_string(column.number);
  ColumnOptions told = told_so_far(log, column);
  const bool more = told.factor != 1 || told.time_shift != 0 || told.sensor_zero || told.sensor_gain;
  if (button(more ? "●##" + id : "...##" + id, ImGui::GetContentRegionAvail().x)) ImGui::OpenPopup("details");
  tooltip("Factor, time shift, volts of the sensor; or all as guessed");
  if (!ImGui::BeginPopup("details")) return;
  ImGui::Dummy({18 * em(), 0});
  heading("Column " + std::to_string(column.number) + ", " + column.header);
  bool changed = slider("Its times are late by##" + id, told.time_shift, Quantity::time, units, -2, 2, false, "s");
  one_line("Times this number", 18 * em());
  changed |= edit_number(id + "/factor", told.factor, Quantity::ratio, units, "x", 8 * em());
  if (column.kind == ChannelKind::rail_pressure_volts) {
    changed |= optional_slider("Volts at no pressure##" + id, "as usual", told.sensor_zero, 0.25, Quantity::voltage,
                               units, 0, 1.5, "V");
    changed |= optional_slider("Pressure per volt##" + id, "as usual", told.sensor_gain, 7e6, Quantity::pressure, units,
                               1e6, 20e6);
  }
  if (changed) {
    ColumnOptions& kept = told_column(log, column);
    told.column = kept.column;
    kept = told;
  }
  if (button("All as guessed##" + id))
    std::erase_if(log.options.columns, [&](const ColumnOptions& one) {
      return one.column == column.header || one.column == std::to_string(column.number);
    });
  ImGui::EndPopup();
}

void draw_columns(JobLog& log, const LogLayout& layout, const ShownUnits& units) {
  if (layout.columns.empty() ||
      !ImGui::BeginTable("columns", 5,
                         ImGuiTableFlags_RowBg | ImGuiTableFlags_BordersInnerH | ImGuiTableFlags_SizingStretchProp))
    return;
  ImGui::TableSetupColumn("Column in the file", 0, 0.30f);
  ImGui::TableSetupColumn("Taken for", 0, 0.28f);
  ImGui::TableSetupColumn("Unit", 0, 0.15f);
  ImGui::TableSetupColumn("Why", 0, 0.22f);
  ImGui::TableSetupColumn("More", 0, 0.08f);
  ImGui::TableHeadersRow();
  for (const ColumnLayout& column : layout.columns) {
    ImGui::PushID(column.number);
    ImGui::TableNextRow();
    ImGui::TableNextColumn();
    ImGui::AlignTextToFramePadding();
    one_line(std::to_string(column.number) + "  " + column.header, ImGui::GetContentRegionAvail().x);
    ImGui::TableNextColumn();
    draw_kind(log, column);
    note_widget("column " + std::to_string(column.number) + "/kind");
    ImGui::TableNextColumn();
    draw_unit(log, column);
    note_widget("column " + std::to_string(column.number) + "/unit");
    ImGui::TableNextColumn();
    if (!column.certain) ImGui::PushStyleColor(ImGuiCol_Text, palette().measured);
    const std::string why = column.unit_why.empty() ? column.kind_why : column.unit_why;
    one_line(column.certain ? why : "Check: " + why, ImGui::GetContentRegionAvail().x);
    if (!column.certain) ImGui::PopStyleColor();
    ImGui::TableNextColumn();
    draw_column_details(log, column, units);
    ImGui::PopID();
  }
  ImGui::EndTable();
}

void draw_condition(App& app, JobLog& log) {
  draw_told_condition(app, "log", log.condition, "as in the log", false);
  optional_slider("Between samples", "as in the log", log.options.interval, 0.25, Quantity::time, app.settings.units,
                  0.01, 5, "s");
  draw_started(log.started);
  draw_stage("log stage", log.stage, true);
}

/// Channels of one quantity over each other: the first as points.
Picture picture_of(const LogPreview& preview, Quantity quantity, const char* title,
                   const std::vector<ChannelKind>& kinds) {
  Picture picture{title, quantity, {}, {}};
  for (const PreviewChannel& channel : preview.channels) {
    if (channel.quantity != quantity || channel.time.empty() ||
        (!kinds.empty() && std::ranges::find(kinds, channel.kind) == kinds.end()))
      continue;
    const bool first = picture.series.empty();
    picture.series.push_back({words_for(channel.kind), channel.time, channel.value,
                              first ? palette().measured : palette().previous,
                              first ? Series::Look::points : Series::Look::ghost});
  }
  return picture;
}

/// Pressure and duty as measured, over the same time.
void draw_preview(App& app, const LogPreview& preview, ImVec2 size) {
  static TimeAxis axis;
  static PlotState pressure_state, duty_state;
  static std::string last;
  Picture pressure = picture_of(preview, Quantity::pressure, "Pressure in the log", {});
  Picture duty = picture_of(preview, Quantity::ratio, "Regulator duty", {ChannelKind::regulator_duty});
  if (pressure.series.empty() && duty.series.empty()) {
    say_quietly("No column is taken for a pressure or for the regulator's duty.");
    return;
  }
  double end = 1;
  for (const Picture* picture : {&pressure, &duty})
    for (const Series& series : picture->series) end = std::max(end, series.time.back());
  if (app.circuit) {
    pressure.levels = {{app.circuit->control.enable_pressure, "needed to inject", palette().enable}};
    duty.levels = {{app.circuit->control.most_duty, "ceiling", palette().ceiling}};
  }
  axis.next_frame();
  axis.cover(0, 1.02 * end);
  if (last != preview.told) axis.fit(), last = preview.told;
  pressure.times = duty.series.empty();
  duty.slim = !pressure.series.empty();
  if (!pressure.series.empty()) plot("log plot", size, pressure, axis, pressure_state, app.settings.units);
  if (!duty.series.empty()) plot("log duty plot", {size.x, 0.75f * size.y}, duty, axis, duty_state, app.settings.units);
}

void draw_remarks(const LogPreview& preview) {
  for (const std::string& remark : preview.remarks) say_quietly("• " + remark);
}

void draw_trouble(const Error& error) {
  ImGui::PushStyleColor(ImGuiCol_Text, palette().leak);
  say("This log cannot be used yet.");
  ImGui::PopStyleColor();
  say(error.place());
  say(error.found());
  say("→ " + error.expected());
}

void draw_log(App& app, JobLog& log, const LogPreview* preview) {
  const ImVec2 room = ImGui::GetContentRegionAvail();
  const bool wide = room.x > 44 * em();
  if (wide) ImGui::Columns(2, "log", false), ImGui::SetColumnWidth(0, 0.62f * room.x);
  say_quietly(log.file);
  if (!preview)
    say("Reading ...");
  else {
    if (preview->trouble) draw_trouble(*preview->trouble);
    draw_columns(log, preview->layout, app.settings.units);
    if (preview->readable) draw_preview(app, *preview, {ImGui::GetContentRegionAvail().x, 11 * em()});
  }
  if (wide) ImGui::NextColumn();
  edit_text("What it is", log.condition.name);
  say("Told beside the log");
  draw_condition(app, log);
  if (preview && preview->readable) draw_remarks(*preview);
  if (wide) ImGui::Columns(1);
}

}  // namespace

void draw_logs_step(App& app) {
  std::vector<JobLog>& logs = app.document.job.logs;
  say_quietly(
      "Crank with the scan tool recording: rail pressure (volts too), duty, speed, battery, oil temperature. Once "
      "cold, once hot. Drop the files on this window.");
  app.log = std::clamp(app.log, 0, std::max(0, static_cast<int>(logs.size()) - 1));
  std::vector<std::string> names;
  for (std::size_t i = 0; i < logs.size(); ++i)
    names.push_back((logs[i].condition.name.empty() ? "log " + std::to_string(i + 1) : logs[i].condition.name) + "##" +
                    std::to_string(i));
  for (int i = 0; i < static_cast<int>(names.size()); ++i) {
    if (button(names[i], 0, true, app.log == i)) app.log = i;
    ImGui::SameLine(0, 0.3f * em());
  }
  if (button("Add a log ...")) ask_for_log(app);
  if (logs.empty()) return;
  ImGui::SameLine(0, 0.3f * em());
  if (button("Remove this log")) {
    logs.erase(logs.begin() + app.log);
    return;
  }
  const std::vector<LogPreview>& previews = app.document.logs;
  const bool known = app.log < static_cast<int>(previews.size()) && previews[app.log].file == logs[app.log].file;
  draw_log(app, logs[app.log], known ? &previews[app.log] : nullptr);
}

}  // namespace railseep::gui
