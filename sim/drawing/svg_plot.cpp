#include "drawing/svg_plot.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <utility>

namespace railseep {

namespace {

constexpr double width = 560, height = 340, left = 70, right = 150, top = 34, bottom = 48;  // [px]
const char* const colours[] = {"#1b5e8c", "#b5482a", "#3c7a3c", "#7a4f8c"};

std::string number(double v, const char* format = "%.1f") {
  char text[32];
  std::snprintf(text, sizeof text, format, v);
  return text;
}

/// Between 4 and 10 round steps over a span.
double round_step(double span) {
  const double raw = span / 5, power = std::pow(10.0, std::floor(std::log10(raw)));
  for (const double digit : {1.0, 2.0, 5.0})
    if (raw <= digit * power * 1.0001) return digit * power;
  return 10 * power;
}

/// What XML would take for its own is told to be text.
std::string as_xml_text(const std::string& words) {
  std::string safe;
  for (const char c : words) safe += c == '<' ? "&lt;" : c == '&' ? "&amp;" : std::string(1, c);
  return safe;
}

std::string text(double x, double y, const std::string& anchor, const std::string& words, const char* colour = "#222") {
  return "<text x=\"" + number(x) + "\" y=\"" + number(y) + "\" text-anchor=\"" + anchor + "\" fill=\"" + colour +
         "\">" + as_xml_text(words) + "</text>\n";
}

std::string line(double x1, double y1, double x2, double y2) {
  return "<line x1=\"" + number(x1) + "\" y1=\"" + number(y1) + "\" x2=\"" + number(x2) + "\" y2=\"" + number(y2) +
         "\" stroke=\"#ccc\"/>\n";
}

std::string drawn(const std::vector<std::pair<double, double>>& points, PlotCurve::Mark mark,
                  const std::string& colour) {
  std::string svg;
  if (mark == PlotCurve::Mark::dots) {
    for (const auto& [x, y] : points)
      svg += "<circle r=\"3\" fill=\"" + colour + "\" cx=\"" + number(x) + "\" cy=\"" + number(y) + "\"/>\n";
    return svg;
  }
  svg = "<polyline fill=\"none\" stroke-width=\"2\" stroke=\"" + colour +
        (mark == PlotCurve::Mark::dashes ? "\" stroke-dasharray=\"5 4" : "") + "\" points=\"";
  for (std::size_t k = 0; k < points.size(); ++k)
    svg += (k ? " " : "") + number(points[k].first) + "," + number(points[k].second);
  return svg + "\"/>\n";
}

}  // namespace

PlotAxis::PlotAxis(const std::vector<PlotCurve>& curves, std::vector<double> PlotCurve::*values) {
  for (const PlotCurve& curve : curves)
    for (const double v : curve.*values) low = std::min(low, v), high = std::max(high, v);
  step = round_step(std::max(high - low, 1e-12));
  low = step * std::floor(low / step + 1e-9), high = step * std::ceil(high / step - 1e-9);
}

std::string svg_plot(const std::string& title, const std::string& x_label, const std::string& y_label,
                     const std::vector<PlotCurve>& curves) {
  const PlotAxis x(curves, &PlotCurve::x), y(curves, &PlotCurve::y);
  const double w = width - left - right, h = height - top - bottom;
  const auto px = [&](double v) { return left + w * x.share(v); };
  const auto py = [&](double v) { return top + h * (1 - y.share(v)); };
  std::string svg =
      "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 " + number(width, "%.0f") + " " +
      number(height, "%.0f") +
      "\" font-family=\"sans-serif\" font-size=\"12\">\n<rect width=\"100%\" height=\"100%\" fill=\"white\"/>\n";
  svg += text(left, 20, "start", title);
  for (double v = x.low; v <= x.high + 0.5 * x.step; v += x.step)
    svg += line(px(v), top, px(v), top + h) + text(px(v), top + h + 16, "middle", number(v, "%.4g"));
  for (double v = y.low; v <= y.high + 0.5 * y.step; v += y.step)
    svg += line(left, py(v), left + w, py(v)) +
           text(left - 6, py(v) + 4, "end", number(std::abs(v) < 1e-9 * y.step ? 0 : v, "%.4g"));
  svg += text(left + w / 2, height - 10, "middle", x_label);
  svg += "<text transform=\"translate(16 " + number(top + h / 2) +
         ") rotate(-90)\" text-anchor=\"middle\" fill=\"#222\">" + as_xml_text(y_label) + "</text>\n";
  for (std::size_t i = 0; i < curves.size(); ++i) {
    const char* colour = colours[i % std::size(colours)];
    std::vector<std::pair<double, double>> points;
    for (std::size_t k = 0; k < curves[i].x.size(); ++k) points.emplace_back(px(curves[i].x[k]), py(curves[i].y[k]));
    svg += drawn(points, curves[i].mark, colour);
    svg += text(left + w + 8, top + 14 + 18 * static_cast<double>(i), "start", curves[i].label, colour);
  }
  return svg + "</svg>\n";
}

std::string svg_page(const std::vector<std::string>& plots) {
  const std::string tag = "<svg ";
  std::string page = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 " + number(width, "%.0f") + " " +
                     number(height * static_cast<double>(plots.size()), "%.0f") + "\">\n";
  double y = 0;
  for (const std::string& plot : plots) {
    page += "<svg y=\"" + number(y, "%.0f") + "\" width=\"" + number(width, "%.0f") + "\" height=\"" +
            number(height, "%.0f") + "\" " + plot.substr(tag.size());
    y += height;
  }
  return page + "</svg>\n";
}

}  // namespace railseep
