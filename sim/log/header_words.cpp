#include "log/header_words.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <span>
#include <unordered_map>
#include <vector>

namespace railseep {
namespace {

// What a word in a header stands for.
enum class Idea {
  absolute,
  actual,
  battery,
  clock,
  control,
  coolant,
  count,
  current,
  desired,
  driver,
  duty,
  engine,
  filler,
  fuel,
  high,
  injection,
  main,
  module,
  oil,
  power,
  pressure,
  pulse,
  rail,
  regulator,
  sensor,
  speed,
  sync,
  temperature,
  time,
  valve,
  volt,
};
using enum Idea;

// Ideas, and the words and abbreviations that stand for them together, without accents (common practice, no source).
struct Spellings {
  std::vector<Idea> ideas;
  std::string_view words;  // separated by blanks
};

// The codes 0c, 5c and 42 below are the standard parameter numbers of SAE J1979-DA for engine speed, oil temperature
// and module voltage.
const std::vector<Spellings>& spellings() {
  static const std::vector<Spellings> rows = {
      {{high, pressure, oil}, "hpo"},
      {{rail, pressure, desired}, "icpd"},
      {{rail, pressure, volt}, "icpv"},
      {{coolant, temperature}, "ect"},
      {{driver, volt}, "mainpower"},
      {{oil, pressure}, "eop"},
      {{oil, temperature}, "eot"},
      {{rail, pressure}, "icp icpp iap hpop"},
      {{absolute}, "absolute abs absolut"},
      {{actual}, "actual act measured ist istwert gemessen mesuree reelle medida real actuelle"},
      {{battery}, "vpwr b+ battery bat batt batterie bateria bord"},
      {{clock}, "clock datetime date uhrzeit uhr heure hora datum fecha horodatage"},
      {{control}, "control controle ctrl ctl regel steuer commande"},
      {{coolant}, "coolant water kuhlmittel kuehlmittel kuhlwasser wasser refrigerante eau refroidissement"},
      {{count}, "sample index frame record row zeile ligne fila muestra"},
      {{current}, "current strom courant corriente"},
      {{desired},
       "desired des commanded command cmd target setpoint wanted soll sollwert consigne desiree "
       "demandee deseada deseado objetivo objectif consigna"},
      {{driver}, "driver"},
      {{duty}, "dc duty tastverhaltnis tastgrad rapportcyclique rco trabajo cyclique"},
      {{engine}, "engine eng motor moteur"},
      {{filler},
       "base liquide liquido cycle ciclo rapport cranking width cam crank day number no nr of "
       "the and de du d del la le l el der und value wert p gauge raw filtered mean average"},
      {{fuel}, "fuel kraftstoff carburant combustible"},
      {{high}, "high hoch haute alta"},
      {{injection},
       "injection injector injectors inj einspritz einspritzung inyeccion injecteur injecteurs "
       "inyector inyectores"},
      {{main}, "main"},
      {{module}, "module ecu ecm pcm steuergerat calculateur modulo"},
      {{oil}, "oil ol oel huile aceite lube"},
      {{power}, "supply power"},
      {{pressure}, "pressure press prs pres druck pression presion"},
      {{pulse}, "fuelpw pw ipw pulse"},
      {{rail}, "rail rampe riel rampa actuation shown"},
      {{regulator}, "ipr regulator regler regulateur regulador regelventil druckregler coil"},
      {{sensor}, "sensor capteur geber"},
      {{speed}, "rpm speed drehzahl regime vitesse velocidad revoluciones"},
      {{sync}, "sync synchronisation"},
      {{temperature}, "temperature temperatur temperatura temp"},
      {{time}, "time timestamp elapsed elapsedtime seconds sec zeit temps tiempo duree zeitstempel"},
      {{valve}, "valve ventil vanne valvula"},
      {{volt}, "voltage volts volt spannung tension voltaje"},
  };
  return rows;
}

// Headers that mean something only when nothing else stands in them.
constexpr std::pair<std::string_view, ChannelKind> whole_headers[] = {
    {"n", ChannelKind::engine_speed},     {"0c", ChannelKind::engine_speed}, {"5c", ChannelKind::oil_temperature},
    {"42", ChannelKind::battery_voltage}, {"t", ChannelKind::time},
};

// Letters of the four languages with an accent, to those without.
struct Fold {
  char plain;
  std::string_view letters;  // each of two bytes in UTF-8
};
constexpr Fold folds[] = {{'a', "äàâáÄÀÁ"}, {'o', "öôóÖÓ"}, {'u', "üùûúÜÚ"}, {'e', "éèêëÉÈ"},
                          {'i', "íîïÍ"},    {'c', "çÇ"},    {'n', "ñÑ"}};

// The letter or digit that text begins with, folded; 0 for anything else. @param length of what was read
char folded(std::string_view text, std::size_t& length) {
  const auto byte = static_cast<unsigned char>(text.front());
  length = 1;
  if (byte < 0x80) return std::isalnum(byte) || byte == '+' ? static_cast<char>(std::tolower(byte)) : '\0';
  constexpr std::size_t accented = 2;  // bytes
  for (const Fold& fold : folds) {
    const std::size_t at = fold.letters.find(text.substr(0, accented));
    if (text.size() < accented || at == std::string_view::npos || at % accented != 0) continue;
    length = accented;
    return fold.plain;
  }
  return '\0';
}

std::vector<std::string> words_of(std::string_view text) {
  std::vector<std::string> words(1);
  for (std::size_t length = 0; !text.empty(); text.remove_prefix(length)) {
    const char c = folded(text, length);
    if (c != '\0') {
      words.back() += c;
    } else if (static_cast<unsigned char>(text.front()) < 0x80 && !words.back().empty()) {
      words.emplace_back();
    }
  }
  if (words.back().empty()) words.pop_back();
  return words;
}

using Ideas = std::vector<Idea>;

// Every word of the table with its row; of a word that stands in two rows, the first.
std::unordered_map<std::string_view, const Spellings*> rows_of_words() {
  std::unordered_map<std::string_view, const Spellings*> rows;
  for (const Spellings& row : spellings()) {
    std::string_view rest = row.words;
    while (!rest.empty()) {
      const std::size_t end = std::min(rest.find(' '), rest.size());
      rows.emplace(rest.substr(0, end), &row);
      rest.remove_prefix(std::min(end + 1, rest.size()));
    }
  }
  return rows;
}

const Spellings* find_spelling(std::string_view word) {
  static const auto rows = rows_of_words();
  const auto found = rows.find(word);
  return found == rows.end() ? nullptr : found->second;
}

// The ideas of a word, or of the words it is run together from: "motordrehzahl". False: it is not known.
bool add_ideas(std::string_view word, Ideas& ideas) {
  if (const Spellings* found = find_spelling(word)) {
    ideas.insert(ideas.end(), found->ideas.begin(), found->ideas.end());
    return true;
  }
  constexpr std::size_t shortest = 2, longest = 40;  // letters of a part, and of what may be run together
  if (word.size() > longest) return false;
  for (std::size_t cut = word.size() - std::min(word.size(), shortest); cut >= shortest; --cut) {
    const Spellings* found = find_spelling(word.substr(0, cut));
    if (found == nullptr) continue;
    const std::size_t before = ideas.size();
    ideas.insert(ideas.end(), found->ideas.begin(), found->ideas.end());
    if (add_ideas(word.substr(cut), ideas)) return true;
    ideas.resize(before);
  }
  return false;
}

// Sorted, each once; nullopt where a word is not known. Dots and dashes may stand within a word: "I.C.P.".
std::optional<Ideas> ideas_of(std::string_view header) {
  Ideas ideas;
  const std::vector<std::string> words = words_of(header);
  if (!std::ranges::all_of(words, [&](const std::string& word) { return add_ideas(word, ideas); })) {
    ideas.clear();
    if (!add_ideas(plain_word(header), ideas)) return std::nullopt;
  }
  std::sort(ideas.begin(), ideas.end());
  ideas.erase(std::unique(ideas.begin(), ideas.end()), ideas.end());
  return ideas;
}

bool has(const Ideas& ideas, Idea idea) { return std::ranges::find(ideas, idea) != ideas.end(); }

// Nothing but these, and fillers.
bool only(const Ideas& ideas, const std::vector<Idea>& allowed) {
  return std::ranges::all_of(
      ideas, [&](Idea idea) { return idea == filler || std::ranges::find(allowed, idea) != allowed.end(); });
}

// A pressure: of the lube oil, or of the oil that drives the injectors, desired or actual, in its own unit or as volts.
ChannelKind pressure_kind(const Ideas& ideas) {
  const bool of_lube_oil = has(ideas, oil) && has(ideas, pressure) && !has(ideas, high);
  if (of_lube_oil && only(ideas, {oil, pressure, engine, sensor, actual, absolute}))
    return ChannelKind::base_oil_pressure;
  const bool of_rail = has(ideas, rail) || has(ideas, injection) ||
                       (has(ideas, oil) && (has(ideas, high) || has(ideas, control))) || has(ideas, actual);
  if (has(ideas, desired)) {
    const bool fits = only(ideas, {desired, pressure, rail, injection, control, high, oil, absolute});
    return fits && !has(ideas, volt) ? ChannelKind::desired_pressure : ChannelKind::unknown;
  }
  if (!of_rail || !only(ideas, {rail, pressure, injection, control, high, oil, actual, sensor, volt, absolute}))
    return ChannelKind::unknown;
  if (has(ideas, oil) && !has(ideas, high) && !has(ideas, control) && !has(ideas, rail) && !has(ideas, injection))
    return ChannelKind::base_oil_pressure;
  return has(ideas, volt) ? ChannelKind::rail_pressure_volts : ChannelKind::rail_pressure;
}

// One of each group must be there.
using Groups = std::vector<std::vector<Idea>>;

// What the ideas of a header say together. The first rule that applies decides: its channel, or none where a need is
// not met or an idea stands there that the rule does not allow.
struct Rule {
  Groups applies;
  Groups needs;
  std::vector<Idea> allowed;
  ChannelKind kind;
};

const std::vector<Rule>& rules() {
  static const std::vector<Rule> all = {
      {{{clock}}, {}, {clock, Idea::time}, ChannelKind::time},
      {{{Idea::time}}, {}, {Idea::time}, ChannelKind::time},
      {{{Idea::sync}}, {}, {Idea::sync}, ChannelKind::sync},
      {{{pulse}}, {}, {pulse, fuel, injection}, ChannelKind::injector_pulse},
      {{{count}}, {}, {count}, ChannelKind::sample_index},
      {{{driver, main}}, {}, {driver, main, power, volt, injection}, ChannelKind::driver_voltage},
      // A current is the coil's only where the regulator or the rail stands beside it.
      {{{current}},
       {{regulator, rail}},
       {regulator, duty, current, valve, control, injection, pressure, rail, oil, actual},
       ChannelKind::regulator_current},
      {{{regulator, duty}},
       {},
       {regulator, duty, valve, control, injection, pressure, rail, oil, actual},
       ChannelKind::regulator_duty},
      {{{temperature}, {oil}}, {}, {temperature, oil, engine, sensor, actual}, ChannelKind::oil_temperature},
      {{{temperature}}, {{coolant}}, {temperature, coolant, engine, sensor, actual}, ChannelKind::coolant_temperature},
      {{{coolant}}, {}, {coolant, engine}, ChannelKind::coolant_temperature},
      {{{speed}}, {}, {speed, engine, actual, sensor}, ChannelKind::engine_speed},
      {{{battery, module}},
       {{battery, volt}},
       {battery, module, control, volt, power, actual},
       ChannelKind::battery_voltage},
  };
  return all;
}

ChannelKind kind_of_ideas(const Ideas& ideas) {
  const auto meets = [&](const Groups& groups) {
    return std::ranges::all_of(groups, [&](const std::vector<Idea>& group) {
      return std::ranges::any_of(group, [&](Idea idea) { return has(ideas, idea); });
    });
  };
  const auto rule = std::ranges::find_if(rules(), [&](const Rule& one) { return meets(one.applies); });
  if (rule != rules().end())
    return meets(rule->needs) && only(ideas, rule->allowed) ? rule->kind : ChannelKind::unknown;
  return has(ideas, pressure) || has(ideas, desired) ? pressure_kind(ideas) : ChannelKind::unknown;
}

}  // namespace

std::string plain_word(std::string_view header) {
  std::string plain;
  for (std::size_t length = 0; !header.empty(); header.remove_prefix(length)) {
    const char c = folded(header, length);
    if (c != '\0') plain += c;
  }
  return plain;
}

ChannelKind kind_of_words(std::string_view header) {
  const std::string plain = plain_word(header);
  for (const auto& [whole, kind] : whole_headers) {
    if (plain == whole) return kind;
  }
  const auto ideas = ideas_of(header);
  if (!ideas || ideas->empty()) return ChannelKind::unknown;
  return kind_of_ideas(*ideas);
}

std::optional<ChannelKind> owner_of_time(std::string_view header) {
  auto ideas = ideas_of(header);
  if (!ideas || !(has(*ideas, Idea::time) || has(*ideas, Idea::clock))) return std::nullopt;
  std::erase_if(*ideas, [](Idea idea) { return idea == Idea::time || idea == Idea::clock; });
  const ChannelKind owner = kind_of_ideas(*ideas);
  return owner == ChannelKind::unknown ? std::nullopt : std::optional(owner);
}

std::optional<std::string> remark_in(std::string_view bracket) {
  std::string kept;
  for (const std::string& word : words_of(bracket)) {
    Ideas ideas;
    const bool number =
        std::ranges::all_of(word, [](unsigned char c) { return std::isdigit(c); }) || word.starts_with("0x");
    const bool of_time = word.find_first_not_of("hms") == std::string::npos;
    if (number || of_time) continue;
    if (!add_ideas(word, ideas)) return std::nullopt;
    kept += " " + word;
  }
  return kept;
}

bool says_absolute(std::string_view header) {
  const auto ideas = ideas_of(header);
  return ideas && has(*ideas, absolute);
}

bool may_be_fuel(std::string_view header) {
  const std::string plain = plain_word(header);
  const bool pressure_or_rail = plain.find("pressure") != std::string::npos || plain.find("rail") != std::string::npos;
  return plain.find("fuel") != std::string::npos && pressure_or_rail;
}

}  // namespace railseep
