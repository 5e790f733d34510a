#pragma once

#include <string>
#include <vector>

namespace railseep {

/// One curve of a plot.
struct PlotCurve {
  enum class Mark { line, dashes, dots };
  std::string label;
  std::vector<double> x, y;
  Mark mark = Mark::line;
};

/// One straight axis from 0 (or below) to a round number.
struct PlotAxis {
  double low = 0, high = 0, step = 1;
  PlotAxis(const std::vector<PlotCurve>& curves, std::vector<double> PlotCurve::*values);
  double share(double v) const { return (v - low) / (high - low); }
};

/// A plot with straight axes from 0 (or below) to round numbers, as the text of an SVG file: no fonts, colours or
/// scripts from elsewhere.
std::string svg_plot(const std::string& title, const std::string& x_label, const std::string& y_label,
                     const std::vector<PlotCurve>& curves);

/// Several such plots one below the other, as one SVG file.
std::string svg_page(const std::vector<std::string>& plots);

}  // namespace railseep
