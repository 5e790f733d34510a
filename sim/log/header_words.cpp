#include "log/header_words.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <initializer_list>
#include <span>
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

struct Spelling {
  std::string_view word;
  std::array<Idea, 3> ideas;  // repeated where there are fewer
};

constexpr Spelling as(std::string_view word, Idea a) { return {word, {a, a, a}}; }
constexpr Spelling as(std::string_view word, Idea a, Idea b, Idea c) { return {word, {a, b, c}}; }
constexpr Spelling as(std::string_view word, Idea a, Idea b) { return {word, {a, b, b}}; }

// Words and abbreviations met in the headers of logs, without accents (common practice, no source).
// The codes 0c, 5c and 42 are the standard parameter numbers of SAE J1979-DA for engine speed, oil temperature and
// module voltage.
constexpr Spelling spellings[] = {
    // abbreviations
    as("icp", rail, pressure),
    as("icpp", rail, pressure),
    as("iap", rail, pressure),
    as("hpop", rail, pressure),
    as("hpo", high, pressure, oil),
    as("icpv", rail, pressure, volt),
    as("icpd", rail, pressure, desired),
    as("ipr", regulator),
    as("dc", duty),
    as("rpm", speed),
    as("eot", oil, temperature),
    as("ect", coolant, temperature),
    as("eop", oil, pressure),
    as("vpwr", battery),
    as("b+", battery),
    as("fuelpw", pulse),
    as("pw", pulse),
    as("ipw", pulse),
    as("mainpower", driver, volt),
    // pressure
    as("pressure", pressure),
    as("press", pressure),
    as("prs", pressure),
    as("pres", pressure),
    as("druck", pressure),
    as("pression", pressure),
    as("presion", pressure),
    as("rail", rail),
    as("rampe", rail),
    as("riel", rail),
    as("rampa", rail),
    as("actuation", rail),
    as("shown", rail),
    as("injection", injection),
    as("injector", injection),
    as("injectors", injection),
    as("inj", injection),
    as("einspritz", injection),
    as("einspritzung", injection),
    as("inyeccion", injection),
    as("injecteur", injection),
    as("injecteurs", injection),
    as("inyector", injection),
    as("inyectores", injection),
    as("control", control),
    as("controle", control),
    as("ctrl", control),
    as("ctl", control),
    as("regel", control),
    as("steuer", control),
    as("commande", control),
    as("high", high),
    as("hoch", high),
    as("haute", high),
    as("alta", high),
    // oil, coolant, fuel
    as("oil", oil),
    as("ol", oil),
    as("oel", oil),
    as("huile", oil),
    as("aceite", oil),
    as("lube", oil),
    as("base", filler),
    as("coolant", coolant),
    as("water", coolant),
    as("kuhlmittel", coolant),
    as("kuehlmittel", coolant),
    as("kuhlwasser", coolant),
    as("wasser", coolant),
    as("refrigerante", coolant),
    as("eau", coolant),
    as("refroidissement", coolant),
    as("liquide", filler),
    as("liquido", filler),
    as("fuel", fuel),
    as("kraftstoff", fuel),
    as("carburant", fuel),
    as("combustible", fuel),
    as("temperature", temperature),
    as("temperatur", temperature),
    as("temperatura", temperature),
    as("temp", temperature),
    // desired, actual
    as("desired", desired),
    as("des", desired),
    as("commanded", desired),
    as("command", desired),
    as("cmd", desired),
    as("target", desired),
    as("setpoint", desired),
    as("wanted", desired),
    as("soll", desired),
    as("sollwert", desired),
    as("consigne", desired),
    as("desiree", desired),
    as("demandee", desired),
    as("deseada", desired),
    as("deseado", desired),
    as("objetivo", desired),
    as("objectif", desired),
    as("consigna", desired),
    as("actual", actual),
    as("act", actual),
    as("measured", actual),
    as("ist", actual),
    as("istwert", actual),
    as("gemessen", actual),
    as("mesuree", actual),
    as("reelle", actual),
    as("medida", actual),
    as("real", actual),
    as("actuelle", actual),
    // regulator
    as("regulator", regulator),
    as("regler", regulator),
    as("regulateur", regulator),
    as("regulador", regulator),
    as("regelventil", regulator),
    as("druckregler", regulator),
    as("duty", duty),
    as("cycle", filler),
    as("tastverhaltnis", duty),
    as("tastgrad", duty),
    as("rapportcyclique", duty),
    as("rco", duty),
    as("ciclo", filler),
    as("trabajo", duty),
    as("cyclique", duty),
    as("rapport", filler),
    as("valve", valve),
    as("ventil", valve),
    as("vanne", valve),
    as("valvula", valve),
    as("current", current),
    as("strom", current),
    as("courant", current),
    as("corriente", current),
    as("coil", regulator),
    // speed, battery, driver
    as("speed", speed),
    as("drehzahl", speed),
    as("regime", speed),
    as("vitesse", speed),
    as("velocidad", speed),
    as("revoluciones", speed),
    as("cranking", filler),
    as("engine", engine),
    as("eng", engine),
    as("motor", engine),
    as("moteur", engine),
    as("battery", battery),
    as("bat", battery),
    as("batt", battery),
    as("batterie", battery),
    as("bateria", battery),
    as("bord", battery),
    as("voltage", volt),
    as("volts", volt),
    as("volt", volt),
    as("spannung", volt),
    as("tension", volt),
    as("voltaje", volt),
    as("module", module),
    as("ecu", module),
    as("ecm", module),
    as("pcm", module),
    as("steuergerat", module),
    as("calculateur", module),
    as("modulo", module),
    as("driver", driver),
    as("supply", power),
    as("main", main),
    as("power", power),
    as("pulse", pulse),
    as("width", filler),
    as("sync", sync),
    as("synchronisation", sync),
    as("cam", filler),
    as("crank", filler),
    // time and counters
    as("time", time),
    as("timestamp", time),
    as("elapsed", time),
    as("elapsedtime", time),
    as("seconds", time),
    as("sec", time),
    as("zeit", time),
    as("temps", time),
    as("tiempo", time),
    as("duree", time),
    as("clock", clock),
    as("datetime", clock),
    as("date", clock),
    as("uhrzeit", clock),
    as("uhr", clock),
    as("heure", clock),
    as("hora", clock),
    as("day", filler),
    as("datum", clock),
    as("fecha", clock),
    as("zeitstempel", time),
    as("horodatage", clock),
    as("sample", count),
    as("index", count),
    as("frame", count),
    as("record", count),
    as("row", count),
    as("number", filler),
    as("no", filler),
    as("nr", filler),
    as("zeile", count),
    as("ligne", count),
    as("fila", count),
    as("muestra", count),
    // the rest
    as("sensor", sensor),
    as("capteur", sensor),
    as("geber", sensor),
    as("absolute", absolute),
    as("abs", absolute),
    as("absolut", absolute),
    as("of", filler),
    as("the", filler),
    as("and", filler),
    as("de", filler),
    as("du", filler),
    as("d", filler),
    as("del", filler),
    as("la", filler),
    as("le", filler),
    as("l", filler),
    as("el", filler),
    as("der", filler),
    as("und", filler),
    as("value", filler),
    as("wert", filler),
    as("p", filler),
    as("gauge", filler),
    as("raw", filler),
    as("filtered", filler),
    as("mean", filler),
    as("average", filler),
};

// Headers that mean something only when nothing else stands in them.
constexpr std::pair<std::string_view, ChannelKind> whole_headers[] = {
    {"n", ChannelKind::engine_speed},     {"0c", ChannelKind::engine_speed}, {"5c", ChannelKind::oil_temperature},
    {"42", ChannelKind::battery_voltage}, {"t", ChannelKind::time},
};

struct Fold {
  std::string_view letter;
  char plain;
};

// Letters of the four languages with an accent, to those without.
constexpr Fold folds[] = {
    {"ä", 'a'}, {"à", 'a'}, {"â", 'a'}, {"á", 'a'}, {"Ä", 'a'}, {"À", 'a'}, {"Á", 'a'}, {"ö", 'o'},
    {"ô", 'o'}, {"ó", 'o'}, {"Ö", 'o'}, {"Ó", 'o'}, {"ü", 'u'}, {"ù", 'u'}, {"û", 'u'}, {"ú", 'u'},
    {"Ü", 'u'}, {"Ú", 'u'}, {"é", 'e'}, {"è", 'e'}, {"ê", 'e'}, {"ë", 'e'}, {"É", 'e'}, {"È", 'e'},
    {"í", 'i'}, {"î", 'i'}, {"ï", 'i'}, {"Í", 'i'}, {"ç", 'c'}, {"Ç", 'c'}, {"ñ", 'n'}, {"Ñ", 'n'},
};

// The letter or digit that text begins with, folded; 0 for anything else. @param length of what was read
char folded(std::string_view text, std::size_t& length) {
  const auto byte = static_cast<unsigned char>(text.front());
  length = 1;
  if (byte < 0x80) return std::isalnum(byte) || byte == '+' ? static_cast<char>(std::tolower(byte)) : '\0';
  for (const Fold& fold : folds) {
    if (!text.starts_with(fold.letter)) continue;
    length = fold.letter.size();
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

const Spelling* find_spelling(std::string_view word) {
  const auto found = std::ranges::find(spellings, word, &Spelling::word);
  return found == std::end(spellings) ? nullptr : &*found;
}

// The ideas of a word, or of the words it is run together from: "motordrehzahl". False: it is not known.
bool add_ideas(std::string_view word, Ideas& ideas) {
  if (const Spelling* found = find_spelling(word)) {
    ideas.insert(ideas.end(), found->ideas.begin(), found->ideas.end());
    return true;
  }
  constexpr std::size_t shortest = 2, longest = 40;  // letters of a part, and of what may be run together
  if (word.size() > longest) return false;
  for (std::size_t cut = word.size() - std::min(word.size(), shortest); cut >= shortest; --cut) {
    const Spelling* found = find_spelling(word.substr(0, cut));
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
bool only(const Ideas& ideas, std::initializer_list<Idea> allowed) {
  return std::ranges::all_of(
      ideas, [&](Idea idea) { return idea == filler || std::ranges::find(allowed, idea) != allowed.end(); });
}

// A pressure of the oil that drives the injectors, desired or actual, in its own unit or as volts.
ChannelKind rail_kind(const Ideas& ideas) {
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

ChannelKind kind_of_ideas(const Ideas& ideas) {
  using enum ChannelKind;
  const auto when = [](bool fits, ChannelKind kind) { return fits ? kind : unknown; };
  if (has(ideas, Idea::clock)) return when(only(ideas, {Idea::clock, Idea::time}), ChannelKind::time);
  if (has(ideas, Idea::time)) return when(only(ideas, {Idea::time}), ChannelKind::time);
  if (has(ideas, Idea::sync)) return when(only(ideas, {Idea::sync}), ChannelKind::sync);
  if (has(ideas, pulse)) return when(only(ideas, {pulse, fuel, injection}), injector_pulse);
  if (has(ideas, count)) return when(only(ideas, {count}), sample_index);
  if (has(ideas, driver) || has(ideas, main))
    return when(only(ideas, {driver, main, power, volt, injection}), driver_voltage);
  if (has(ideas, regulator) || has(ideas, duty) || has(ideas, current)) {
    const bool fits = only(ideas, {regulator, duty, current, valve, control, injection, pressure, rail, oil, actual});
    const bool measured = has(ideas, current) ? has(ideas, regulator) || has(ideas, rail) : true;
    return when(fits && measured, has(ideas, current) ? regulator_current : regulator_duty);
  }
  if (has(ideas, temperature)) {
    if (has(ideas, oil)) return when(only(ideas, {temperature, oil, engine, sensor, actual}), oil_temperature);
    return when(has(ideas, coolant) && only(ideas, {temperature, coolant, engine, sensor, actual}),
                coolant_temperature);
  }
  if (has(ideas, coolant)) return when(only(ideas, {coolant, engine}), coolant_temperature);
  if (has(ideas, speed)) return when(only(ideas, {speed, engine, actual, sensor}), engine_speed);
  if (has(ideas, battery) || has(ideas, module))
    return when(
        only(ideas, {battery, module, control, volt, power, actual}) && (has(ideas, battery) || has(ideas, volt)),
        battery_voltage);
  if (has(ideas, oil) && has(ideas, pressure) && only(ideas, {oil, pressure, engine, sensor, actual, absolute}) &&
      !has(ideas, high))
    return base_oil_pressure;
  if (has(ideas, pressure) || has(ideas, desired)) return rail_kind(ideas);
  return unknown;
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
