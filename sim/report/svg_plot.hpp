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

/// A plot with straight axes from 0 (or below) to round numbers, as the text of an SVG file: no fonts, colours or
/// scripts from elsewhere.
std::string svg_plot(const std::string& title, const std::string& x_label, const std::string& y_label,
                     const std::vector<PlotCurve>& curves);

}  // namespace railseep
