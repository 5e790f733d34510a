#pragma once

#include <string>
#include <vector>

namespace railseep {

/// A curve as a few lines of text, for a terminal: least and most of each column of characters. @param time rising, as
/// many as values
std::string text_plot(const std::string& title, const std::vector<double>& time, const std::vector<double>& value);

}  // namespace railseep
