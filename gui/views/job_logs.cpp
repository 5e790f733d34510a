// A log of the job: what the columns were taken for, what they look like, and what was told beside them.
#include <algorithm>

#include "bench_parts.hpp"
#include "log/log_unit.hpp"
#include "look.hpp"
#include "views.hpp"

namespace railseep::gui {

namespace {

std::string words_for(ChannelKind kind) {
  return spaced(kind == ChannelKind::unknown   ? "not known"
                : kind == ChannelKind::ignored ? "left out"
                                               : kind_name(kind));
}

void draw_kind(JobLog& log, const ColumnLayout& column, float width) {
  ImGui::SetNextItemWidth(width);
  note_text(words_for(column.kind), ImGui::CalcTextSize(words_for(column.kind).c_str()).x,
            width - ImGui::GetFrameHeight() - ImGui::GetStyle().FramePadding.x);
  if (!ImGui::BeginCombo("##kind", words_for(column.kind).c_str(), ImGuiComboFlags_HeightLarge)) return;
  for (const ChannelRow& row : channel_rows) {
    const ChannelKind kind = row.kind;
    if (kind == ChannelKind::unknown) continue;  // that it is not known is nothing to choose
    const bool taken = ImGui::Selectable(words_for(kind).c_str(), kind == column.kind);
    note_widget(words_for(kind));
    if (!taken) continue;
    ColumnOptions& told = told_column(log, column);
    told.kind = kind;
    told.unit.reset();
  }
  ImGui::EndCombo();
}

void draw_unit(JobLog& log, const ColumnLayout& column, float width) {
  ImGui::SetNextItemWidth(width);
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
void draw_column_details(JobLog& log, const ColumnLayout& column, const ShownUnits& units, float width) {
  const std::string id = "column " + std::to_string(column.number);
  ColumnOptions told = told_so_far(log, column);
  const bool more = told.factor != 1 || told.time_shift != 0 || told.sensor_zero || told.sensor_gain;
  if (button(more ? "●##" + id : "...##" + id, width)) ImGui::OpenPopup("details");
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

/// What each column was taken for, which can be put right, and why.
void draw_columns(JobLog& log, const LogLayout& layout, const ShownUnits& units) {
  for (const ColumnLayout& column : layout.columns) {
    ImGui::PushID(column.number);
    const float wide = ImGui::GetContentRegionAvail().x, gap = 0.3f * em(), more = 2.4f * em(), unit = 5.5f * em();
    if (!column.certain) ImGui::PushStyleColor(ImGuiCol_Text, palette().measured);
    const std::string why = column.unit_why.empty() ? column.kind_why : column.unit_why;
    say(std::to_string(column.number) + "  " + column.header + (column.certain ? "" : " (check: " + why + ")"));
    if (!column.certain) ImGui::PopStyleColor();
    ImGui::BeginGroup();
    draw_kind(log, column, std::max(6 * em(), wide - more - unit - 2 * gap));
    note_widget("column " + std::to_string(column.number) + "/kind");
    if (column.certain) tooltip(why);
    ImGui::SameLine(0, gap);
    draw_unit(log, column, unit);
    note_widget("column " + std::to_string(column.number) + "/unit");
    ImGui::SameLine(0, gap);
    draw_column_details(log, column, units, more);
    ImGui::EndGroup();
    ImGui::PopID();
  }
}

void draw_condition(App& app, JobLog& log) {
  draw_told_condition(app, "log", log.condition, "as in the log", false);
  optional_slider("Between samples", "as in the log", log.options.interval, 0.25, Quantity::time, app.settings.units,
                  0.01, 5, "s");
  draw_started(log.started);
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
  LogLook& look = app.log_look;
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
  look.axis.next_frame();
  look.axis.cover(0, 1.02 * end);
  if (look.told != preview.told) look.axis.fit(), look.told = preview.told;
  pressure.times = duty.series.empty();
  duty.slim = !pressure.series.empty();
  if (!pressure.series.empty()) plot("log plot", size, pressure, look.axis, look.pressure_plot, app.settings.units);
  if (!duty.series.empty())
    plot("log duty plot", {size.x, 0.75f * size.y}, duty, look.axis, look.duty_plot, app.settings.units);
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

}  // namespace

void draw_log_card(App& app, JobLog& log, const LogPreview* preview) {
  say_quietly(log.file);
  edit_text("What it is", log.condition.name);
  draw_stage("log stage", log.stage, true);
  if (!preview) {
    say("Reading ...");
  } else {
    if (preview->trouble) draw_trouble(*preview->trouble);
    if (preview->readable) draw_preview(app, *preview, {ImGui::GetContentRegionAvail().x, 11 * em()});
    draw_columns(log, preview->layout, app.settings.units);
    if (preview->readable) draw_remarks(*preview);
  }
  if (button("Choose another file ...##log")) ask_for_log_file(app, log);
  heading("What the log does not say");
  draw_condition(app, log);
}

}  // namespace railseep::gui
