#include <string_view>

#include "report/report.hpp"

namespace railseep {

namespace {

std::string escaped(std::string_view text) {
  std::string safe;
  for (const char c : text) {
    if (c == '&')
      safe += "&amp;";
    else if (c == '<')
      safe += "&lt;";
    else if (c == '>')
      safe += "&gt;";
    else if (c == '"')
      safe += "&quot;";
    else
      safe += c;
  }
  return safe;
}

// Grey print stays readable: nothing is told by colour alone.
constexpr std::string_view style =
    "body{font:16px/1.45 sans-serif;color:#111;background:#fff;max-width:46em;margin:0 auto;padding:1em}"
    "h1{font-size:1.5em;margin:.2em 0}h2{font-size:1.3em;border-bottom:2px solid #111;margin-top:1.6em}"
    "h3{font-size:1.05em;margin:1.1em 0 .2em}p,ul{margin:.3em 0}.quiet{color:#555;font-size:.9em}"
    "header{display:flex;justify-content:space-between;gap:1em;border-bottom:1px solid #999;padding-bottom:.5em}"
    ".mark{font-weight:bold;border:2px solid #111;padding:.2em .5em;align-self:flex-start}"
    ".wide{overflow-x:auto}table{border-collapse:collapse;margin:.4em 0;font-size:.92em}"
    "th,td{border:1px solid #999;padding:.2em .5em;text-align:left;vertical-align:top}svg{width:100%;max-width:40em}"
    "@media print{body{max-width:none;padding:0;font-size:11pt}section+section{break-before:page}"
    "h3{break-after:avoid}svg,tr{break-inside:avoid}}";

std::string table_html(const ReportBlock& block) {
  std::string html = "<div class=\"wide\"><table>\n";
  for (std::size_t i = 0; i < block.rows.size(); ++i) {
    html += "<tr>";
    for (const std::string& cell : block.rows[i])
      html += std::string(i == 0 ? "<th>" : "<td>") + escaped(cell) + (i == 0 ? "</th>" : "</td>");
    html += "</tr>\n";
  }
  return html + "</table></div>\n";
}

std::string plot_html(const ReportPlot& plot) {
  std::vector<PlotCurve> curves = plot.curves;
  for (PlotCurve& curve : curves) curve.label = escaped(curve.label);
  return svg_plot(escaped(plot.title), escaped(plot.x_label), escaped(plot.y_label), curves);
}

std::string block_html(const ReportBlock& block) {
  switch (block.kind) {
    case ReportBlock::Kind::heading:
      return "<h3>" + escaped(block.text) + "</h3>\n";
    case ReportBlock::Kind::paragraph:
      return "<p>" + escaped(block.text) + "</p>\n";
    case ReportBlock::Kind::quiet:
      return "<p class=\"quiet\">" + escaped(block.text) + "</p>\n";
    case ReportBlock::Kind::bullet:
      return "<ul><li>" + escaped(block.text) + "</li></ul>\n";
    case ReportBlock::Kind::table:
      return table_html(block);
    case ReportBlock::Kind::plot:
      return plot_html(*block.plot);
  }
  return "";
}

}  // namespace

std::string report_html(const Report& report) {
  std::string html =
      "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
      "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>" +
      escaped(report.title) + "</title>\n<style>" + std::string(style) + "</style>\n</head>\n<body>\n<header><div><b>" +
      escaped(report.letterhead.name) + "</b><br>" + escaped(report.letterhead.address) + "</div>";
  if (!report.letterhead.mark.empty()) html += "<div class=\"mark\">" + escaped(report.letterhead.mark) + "</div>";
  html += "</header>\n<h1>" + escaped(report.title) + "</h1>\n";
  if (!report.date.empty()) html += "<p class=\"quiet\">" + escaped(report.date) + "</p>\n";
  for (const ReportPart& part : report.parts) {
    html += "<section>\n<h2>" + escaped(part.title) + "</h2>\n";
    for (const ReportBlock& block : part.blocks) html += block_html(block);
    html += "</section>\n";
  }
  return html + "</body>\n</html>\n";
}

}  // namespace railseep
