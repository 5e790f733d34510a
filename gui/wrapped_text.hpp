#pragma once

#include <functional>
#include <string>
#include <string_view>

namespace railseep::gui {

/// Text broken into lines that fit, for a field that cannot wrap by itself. A break of ours is "\r\n" after the blank
/// it breaks at; the carriage return is drawn as nothing and tells it from a line break of the writer.
/// @param width of a piece of text [pixels]
std::string wrapped(std::string_view text, float room, const std::function<float(std::string_view)>& width);

/// The text without our breaks. Where the writer deleted the break itself, the blank before it goes too.
std::string unwrapped(std::string_view text);

/// Where a place in one of the two is in the other.
std::size_t unwrapped_place(std::string_view wrapped_text, std::size_t place);
std::size_t wrapped_place(std::string_view wrapped_text, std::size_t place);

}  // namespace railseep::gui
