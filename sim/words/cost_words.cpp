#include "words/cost_words.hpp"

#include <cmath>
#include <iomanip>
#include <sstream>

namespace railseep {

namespace {

std::string fixed(double value, int digits) {
  std::ostringstream text;
  text << std::fixed << std::setprecision(digits) << value;
  return text.str();
}

}  // namespace

std::string money_words(double money) { return fixed(std::abs(money) < 0.5 ? 0.0 : money, 0); }

std::string hours_words(double seconds) { return fixed(seconds / 3600, 1) + " h"; }

std::string minutes_words(double seconds) { return fixed(seconds / 60, 0) + " min"; }

std::string cost_words(const Cost& cost, const std::string& currency) {
  return money_words(cost.money) + " " + currency + " and " + hours_words(cost.time);
}

}  // namespace railseep
