#include "wrapped_text.hpp"

#include <algorithm>

namespace railseep::gui {

std::string wrapped(std::string_view text, float room, const std::function<float(std::string_view)>& width) {
  std::string result;
  std::size_t begin = 0;  // of the line at hand
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find_first_of(" \n", at), text.size());  // of the word
    if (at > begin && text[at - 1] == ' ' && width(text.substr(begin, end - begin)) > room)
      result += "\r\n", begin = at;
    result += text.substr(at, end - at);
    if (end < text.size()) result += text[end];
    if (end < text.size() && text[end] == '\n') begin = end + 1;
    at = end + 1;
  }
  return result;
}

std::string unwrapped(std::string_view text) {
  std::string result;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] != '\r')
      result += text[i];
    else if (i + 1 < text.size() && text[i + 1] == '\n')
      ++i;
    else if (!result.empty() && result.back() == ' ')
      result.pop_back();
  }
  return result;
}

std::size_t unwrapped_place(std::string_view wrapped_text, std::size_t place) {
  return unwrapped(wrapped_text.substr(0, place)).size();
}

std::size_t wrapped_place(std::string_view wrapped_text, std::size_t place) {
  std::size_t at = 0;
  for (std::size_t i = 0; i < place && at < wrapped_text.size(); ++i, ++at)
    while (wrapped_text.substr(at, 2) == "\r\n") at += 2;
  while (wrapped_text.substr(at, 2) == "\r\n") at += 2;
  return std::min(at, wrapped_text.size());
}

}  // namespace railseep::gui
