// The report: whose letterhead, how it will read, and what is done with it.
#include <algorithm>

#include "look.hpp"
#include "views.hpp"

namespace railseep::gui {

namespace {

void draw_letterhead(App& app) {
  Reporting& reporting = app.reporting;
  heading("Letterhead");
  edit_text("Shop##letterhead", reporting.letterhead.name);
  edit_text("Address##letterhead", reporting.letterhead.address, 2);
  edit_text("Mark: a few letters##letterhead", reporting.letterhead.mark);
  edit_text("Currency##letterhead", reporting.letterhead.currency);
  edit_text("Date##letterhead", reporting.date);
  say_quietly("Shop, address, mark and currency are kept for all reports, those of railseep report too.");
}

/// What the report will lack as things stand.
void draw_lacks(App& app) {
  if (!has_evidence(app.document.job)) return say_quietly("Nothing has been measured yet: it tells the complaint.");
  if (report_has_answer(app)) return;
  ImGui::PushStyleColor(ImGuiCol_Text, palette().measured);
  say("The answer is not there yet, so the report is without it. The Bench shows how far it is.");
  ImGui::PopStyleColor();
}

void draw_doing(App& app) {
  Reporting& reporting = app.reporting;
  heading("Hand it over");
  draw_lacks(app);
  const bool ready = reporting.report && !reporting.running();
  if (button("Save as a PDF ...", 0, ready)) save_report_sheet(app);
  if (button("Save as a web page ...", 0, ready)) save_report_page(app);
  if (button("Print ...", 0, ready && !reporting.viewing.running())) view_report(app);
  tooltip("Opens the PDF in the system's viewer, which prints it");
  if (reporting.viewing.running()) say_quietly("The viewer is being started ...");
  if (!reporting.said.empty()) say_quietly(reporting.said);
  for (const LongWork* work :
       {static_cast<const LongWork*>(&reporting), static_cast<const LongWork*>(&reporting.viewing)})
    if (work->trouble) say_trouble(*work->trouble);
}

void draw_report_table(const ReportBlock& block, int number) {
  const int columns = static_cast<int>(block.rows.front().size());
  if (!ImGui::BeginTable(("table " + std::to_string(number)).c_str(), columns,
                         ImGuiTableFlags_Borders | ImGuiTableFlags_SizingStretchProp))
    return;
  for (const std::vector<std::string>& row : block.rows) {
    ImGui::TableNextRow(&row == &block.rows.front() ? ImGuiTableRowFlags_Headers : 0);
    for (const std::string& cell : row) {
      ImGui::TableNextColumn();
      ImGui::TextWrapped("%s", cell.c_str());
    }
  }
  ImGui::EndTable();
}

/// A curve as it will be drawn, with the ends of its axes.
void draw_report_plot(const ReportPlot& plot, int number) {
  const Palette& p = palette();
  const std::string id = "report plot " + std::to_string(number);
  const PlotAxis x(plot.curves, &PlotCurve::x), y(plot.curves, &PlotCurve::y);
  const float wide = std::min(ImGui::GetContentRegionAvail().x, 40 * em()), high = 12 * em(), left = 3.5f * em();
  say(plot.title);
  const ImVec2 at = ImGui::GetCursorScreenPos(), low(at.x + left, at.y + high - 1.4f * em()),
               end(at.x + wide - 0.5f * em(), at.y + 0.4f * em());
  ImGui::Dummy({wide, high});
  ImDrawList& draw = *ImGui::GetWindowDrawList();
  draw.AddRect({low.x, end.y}, {end.x, low.y}, p.edge);
  const ImVec4 room(at.x, at.y, at.x + wide, at.y + high);
  label(id, plain_number(y.high, 4) + " " + plot.y_label, {low.x + 0.3f * em(), end.y + 0.1f * em()}, p.quiet, room);
  label(id, plain_number(x.high, 4) + " " + plot.x_label, {end.x - 5 * em(), low.y + 0.2f * em()}, p.quiet, room);
  const ImU32 colours[] = {p.computed, p.measured, p.leak, p.good};
  for (std::size_t i = 0; i < plot.curves.size(); ++i) {
    const PlotCurve& curve = plot.curves[i];
    const ImU32 colour = colours[i % std::size(colours)];
    const auto place = [&](std::size_t k) {
      return ImVec2(low.x + static_cast<float>(x.share(curve.x[k])) * (end.x - low.x),
                    low.y + static_cast<float>(y.share(curve.y[k])) * (end.y - low.y));
    };
    constexpr std::size_t most_points = 400;
    const std::size_t step = std::max<std::size_t>(1, curve.x.size() / most_points);
    for (std::size_t k = 0; k < curve.x.size(); k += step) {
      if (curve.mark == PlotCurve::Mark::dots)
        draw.AddCircleFilled(place(k), 0.14f * em(), colour, 8);
      else if (k + step < curve.x.size())
        draw.AddLine(place(k), place(k + step), colour, 1.5f);
    }
    ImGui::PushStyleColor(ImGuiCol_Text, colour);
    say("— " + curve.label);
    ImGui::PopStyleColor();
  }
}

void draw_block(const ReportBlock& block, int number) {
  switch (block.kind) {
    case ReportBlock::Kind::heading:
      return heading(block.text);
    case ReportBlock::Kind::paragraph:
      return say(block.text);
    case ReportBlock::Kind::quiet:
      return say_quietly(block.text);
    case ReportBlock::Kind::bullet:
      return say("•  " + block.text);
    case ReportBlock::Kind::table:
      return block.rows.empty() ? void() : draw_report_table(block, number);
    case ReportBlock::Kind::plot:
      return block.plot ? draw_report_plot(*block.plot, number) : void();
  }
}

void draw_preview(const App& app) {
  const Reporting& reporting = app.reporting;
  if (!reporting.report) return say_quietly("The report comes here.");
  const Report& report = *reporting.report;
  if (!report.letterhead.name.empty()) say(report.letterhead.name);
  if (!report.letterhead.address.empty()) say_quietly(report.letterhead.address);
  if (!report.letterhead.mark.empty()) say("[" + report.letterhead.mark + "]");
  ImGui::PushFont(large_font());
  say(report.title);
  ImGui::PopFont();
  if (!report.date.empty()) say_quietly(report.date);
  int number = 0;
  for (const ReportPart& part : report.parts) {
    ImGui::Separator();
    ImGui::PushFont(large_font());
    say(part.title);
    ImGui::PopFont();
    for (const ReportBlock& block : part.blocks) draw_block(block, number++);
  }
}

}  // namespace

void draw_report_view(App& app) {
  follow_report(app);
  if (!app.circuit) return say("No circuit is loaded. Choose one in the job.");
  const ImVec2 room = ImGui::GetContentRegionAvail();
  const bool wide = room.x > 46 * em();
  int& tab = app.reporting.tab;
  if (!wide) choice("report part", {"Preview", "Save, print, letterhead"}, tab);
  if (wide || tab == 1) {
    begin_panel("report doing", {wide ? 18 * em() : 0, 0});
    draw_doing(app);
    draw_letterhead(app);
    ImGui::EndChild();
  }
  if (wide) ImGui::SameLine(0, 0.5f * em());
  if (wide || tab == 0) {
    begin_panel("report preview", {0, 0});
    draw_preview(app);
    ImGui::EndChild();
  }
}

}  // namespace railseep::gui
