#pragma once

#include <string>

#include "decide/costs.hpp"

namespace railseep {

/// 1071.8 -> "1072".
std::string money_words(double money);

/// 5400 s -> "1.5 h", 2700 s -> "45 min".
std::string hours_words(double seconds);
std::string minutes_words(double seconds);

/// "1072 EUR and 6.4 h".
std::string cost_words(const Cost& cost, const std::string& currency);

}  // namespace railseep
