// The logs of a job: what the columns were taken for, what they look like, and what was told beside them.
#include <algorithm>

#include "log/log_unit.hpp"
#include "look.hpp"
#include "job_parts.hpp"
#include "views.hpp"

namespace railseep::gui {

namespace {

std::string words_for(ChannelKind kind) {
  std::string text(kind == ChannelKind::unknown ? "not known" : kind == ChannelKind::ignored ? "left out" : kind_name(kind));
  std::replace(text.begin(), text.end(), '_', ' ');
  return text;
}

void draw_kind(JobLog& log, const ColumnLayout& column) {
  ImGui::SetNextItemWidth(-1);
  if (!ImGui::BeginCombo("##kind", words_for(column.kind).c_str(), ImGuiComboFlags_HeightLarge)) return;
  for (int i = 0; i < static_cast<int>(ChannelKind::unknown); ++i) {
    const auto kind = static_cast<ChannelKind>(i);
    if (!ImGui::Selectable(words_for(kind).c_str(), kind == column.kind)) continue;
    ColumnOptions& told = told_column(log, column);
    told.kind = kind;
    told.unit.reset();
  }
  ImGui::EndCombo();
}

void draw_unit(JobLog& log, const ColumnLayout& column) {
  ImGui::SetNextItemWidth(-1);
  if (!ImGui::BeginCombo("##unit", column.unit.empty() ? "-" : printed_unit(column.unit).c_str(), ImGuiComboFlags_HeightLarge)) return;
  for (const Unit& unit : units()) {
    if (unit.symbol.empty() || !unit_fits(column.kind, unit.quantity)) continue;
    const std::string symbol(unit.symbol);
    if (ImGui::Selectable(printed_unit(symbol).c_str(), symbol == column.unit)) told_column(log, column).unit = symbol;
  }
  ImGui::EndCombo();
}

void draw_columns(JobLog& log, const LogLayout& layout) {
  if (layout.columns.empty() || !ImGui::BeginTable("columns", 4, ImGuiTableFlags_RowBg | ImGuiTableFlags_BordersInnerH | ImGuiTableFlags_SizingStretchProp)) return;
  ImGui::TableSetupColumn("Column in the file", 0, 0.30f);
  ImGui::TableSetupColumn("Taken for", 0, 0.28f);
  ImGui::TableSetupColumn("Unit", 0, 0.15f);
  ImGui::TableSetupColumn("Why", 0, 0.27f);
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
    ImGui::PopID();
  }
  ImGui::EndTable();
}

void draw_condition(App& app, JobLog& log) {
  const ShownUnits& units = app.settings.units;
  optional_slider("Oil temperature", "as in the log", log.condition.oil_temperature, 363.15, Quantity::temperature, units, 243.15, 413.15);
  optional_slider("Cranking speed", "as in the log", log.condition.speed, 18, Quantity::speed, units, 6, 30);
  optional_slider("Battery, cranking", "as in the log", log.condition.battery, 10.5, Quantity::voltage, units, 6, 14, "V");
  optional_slider("Air left by the stop", "as in the log", log.condition.rest_air, 0.03, Quantity::ratio, units, 0, 0.6);
  draw_started(log.started);
  draw_stage("log stage", log.stage, true);
}

void draw_preview(App& app, const LogPreview& preview, ImVec2 size) {
  static TimeAxis axis;
  static PlotState state;
  static const Log* last = nullptr;
  Picture picture{"Pressure in the log", Quantity::pressure, {}, {}};
  double end = 1;
  for (const Channel& channel : preview.log->channels) {
    if (channel.quantity != Quantity::pressure || channel.time.empty()) continue;
    const bool first = picture.series.empty();
    picture.series.push_back({words_for(channel.kind), channel.time, channel.value, first ? palette().measured : palette().previous, first ? Series::Look::points : Series::Look::ghost});
    end = std::max(end, channel.time.back());
  }
  if (picture.series.empty()) {
    say_quietly("No column is taken for a pressure.");
    return;
  }
  if (app.circuit) picture.levels = {{app.circuit->control.enable_pressure, "needed to inject", palette().enable}};
  axis.next_frame();
  axis.cover(0, 1.02 * end);
  if (last != preview.log.get()) axis.fit(), last = preview.log.get();
  plot("log plot", size, picture, axis, state, app.settings.units);
}

void draw_remarks(const LogPreview& preview) {
  for (const Channel& channel : preview.log->channels)
    for (const Flag& flag : channel.flags) say_quietly("• " + words_for(channel.kind) + ": " + flag.text);
  for (const Note& note : preview.log->notes) say_quietly("• " + (note.line > 0 ? "line " + std::to_string(note.line) + ": " : std::string()) + note.text);
}

void draw_trouble(const Error& error) {
  ImGui::PushStyleColor(ImGuiCol_Text, palette().leak);
  say("This log can not be read yet.");
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
  if (!preview) say("Reading ...");
  else {
    if (preview->trouble) draw_trouble(*preview->trouble);
    draw_columns(log, preview->layout);
    if (preview->log) draw_preview(app, *preview, {ImGui::GetContentRegionAvail().x, 11 * em()});
  }
  if (wide) ImGui::NextColumn();
  edit_text("What it is", log.condition.name);
  say("Told beside the log");
  draw_condition(app, log);
  if (preview && preview->log) draw_remarks(*preview);
  if (wide) ImGui::Columns(1);
}

}  // namespace

void draw_logs_step(App& app) {
  std::vector<JobLog>& logs = app.document.job.logs;
  say_quietly("Crank with the scan tool recording: rail pressure (volts too), duty, speed, battery, oil temperature. Once cold, once hot. Drop the files on this window.");
  app.log = std::clamp(app.log, 0, std::max(0, static_cast<int>(logs.size()) - 1));
  std::vector<std::string> names;
  for (std::size_t i = 0; i < logs.size(); ++i) names.push_back((logs[i].condition.name.empty() ? "log " + std::to_string(i + 1) : logs[i].condition.name) + "##" + std::to_string(i));
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
