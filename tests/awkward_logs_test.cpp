#include <gtest/gtest.h>

#include <cmath>
#include <functional>

#include "log/flags.hpp"
#include "log/header_words.hpp"
#include "log/log_reader.hpp"
#include "log/log_unit.hpp"
#include "quantity/error.hpp"
#include "units.hpp"

namespace railseep {
namespace {

using enum ChannelKind;

// All logs here are invented. What must come out follows from the text of the file and from the definitions of the
// units: 1 psi = 6894.757293168 Pa, 1 kgf/cm2 = 98066.5 Pa, t/degC = T/K - 273.15, t/degF = 1.8*T/K - 459.67 (NIST SP
// 811 (2008), App. B).
constexpr double atmosphere = 101325;

std::string rows(int count, const std::function<std::string(int)>& row) {
  std::string text;
  for (int i = 0; i < count; ++i) text += row(i) + "\n";
  return text;
}

std::string decimals(double number, int digits) {
  char text[40];
  std::snprintf(text, sizeof text, "%.*f", digits, number);
  return text;
}

// A crank of 14 samples at 2 Hz: a pressure that rises to `most`, under a header of its own, in a file of its own kind.
std::string crank(const std::string& header, double most, int digits, const std::string& more_headers = "",
                  const std::string& more = "") {
  return "Time (s)," + header + more_headers + "\n" + rows(14, [&](int i) {
           return decimals(0.5 * i, 1) + "," + decimals(most * std::min(i, 10) / 10, digits) + more;
         });
}

const EngineHints sensor{.sensor_zero = 0.24, .sensor_gain = 6e6, .enable_pressure = 3.5e6};

struct Read {
  std::string why;
  std::string bytes;
  ChannelKind kind;
  std::vector<double> value;      // [SI], the first ones
  std::vector<double> time = {};  // [s], the first ones; empty: any
  LogOptions options = {};
};

const std::vector<Read>& files_that_are_read() {
  static const std::vector<Read> files = {
      {"technical atmospheres", "Time (s),ICP (kgf/cm2)\n0,10\n1,20\n", rail_pressure, {980665, 1961330}},
      {"the same, written otherwise", "Time (s),ICP [kg/cm²]\n0,10\n1,20\n", rail_pressure, {980665, 1961330}},
      {"hectopascal", "Time (s),ICP (hPa)\n0,23300\n", rail_pressure, {2.33e6}},
      {"newton per square millimetre", "Time (s),ICP (N/mm2)\n0,2.33\n", rail_pressure, {2.33e6}},
      {"kPa absolute", "Time (s),ICP (kPa absolute)\n0,2431.325\n", rail_pressure, {2.33e6}},
      {"absolute in the name", "Time (s),ICP absolute (psi)\n0,514.695948775514\n", rail_pressure, {500 * psi}},
      {"bar a", "Time (s),ICP (bar a)\n0,36.01325\n", rail_pressure, {3.5e6}},
      {"gauge", "Time (s),ICP (kPag)\n0,3500\n", rail_pressure, {3.5e6}},
      {"gauge in words", "Time (s),ICP (bar gauge)\n0,35\n", rail_pressure, {3.5e6}},
      {"unit and remark in two brackets", "Time (s),Inj Ctrl Press (actual) [kPa]\n0,3500\n", rail_pressure, {3.5e6}},
      {"short English words",
       "Time [s],Inj Ctrl Press [kPa],Duty [%],Speed [1/min]\n0,3500,40,150\n",
       rail_pressure,
       {3.5e6}},
      {"short English words: duty",
       "Time [s],Inj Ctrl Press [kPa],Duty [%],Speed [1/min]\n0,3500,40,150\n",
       regulator_duty,
       {0.4}},
      {"short English words: speed",
       "Time [s],Inj Ctrl Press [kPa],Duty [%],Speed [1/min]\n0,3500,40,150\n",
       engine_speed,
       {150 * rpm}},
      {"German: pressure",
       "Zeit [s];Raildruck Ist [bar];Motordrehzahl [U/min]\n0,0;35,5;150\n0,5;36,0;151\n",
       rail_pressure,
       {3.55e6, 3.6e6},
       {0, 0.5}},
      {"German: speed",
       "Zeit [s];Raildruck Ist [bar];Motordrehzahl [U/min]\n0,0;35,5;150\n0,5;36,0;151\n",
       engine_speed,
       {150 * rpm}},
      {"German: desired",
       "Zeit [s];Solldruck [bar];Istdruck [bar]\n0;50;30\n1;51;31\n",
       desired_pressure,
       {5e6, 5.1e6}},
      {"German: oil temperature",
       "Zeit [s];Öltemperatur [°C];Kühlmitteltemperatur [°C]\n0;20;21\n1;20;21\n",
       oil_temperature,
       {293.15}},
      {"German: battery and duty",
       "Uhrzeit;Batteriespannung [V];Tastverhältnis [%]\n10:00:00;11,5;40\n10:00:01;11,4;41\n",
       regulator_duty,
       {0.4},
       {0, 1}},
      {"German: lube oil is not the rail", "Zeit [s];Öldruck [bar]\n0;3\n1;3\n", base_oil_pressure, {3e5}},
      {"French: pressure",
       "Temps (s);Pression d'injection (bar);Régime moteur (tr/min)\n0;35;150\n1;36;151\n",
       rail_pressure,
       {3.5e6}},
      {"French: speed",
       "Temps (s);Pression d'injection (bar);Régime moteur (tr/min)\n0;35;150\n1;36;151\n",
       engine_speed,
       {150 * rpm}},
      {"French: temperatures",
       "Temps (s);Température d'huile (°C);Température liquide de refroidissement (°C)\n0;20;21\n1;20;21\n",
       coolant_temperature,
       {294.15}},
      {"French: desired",
       "Temps (s);Pression de rampe (bar);Consigne de pression (bar)\n0;35;50\n1;36;51\n",
       desired_pressure,
       {5e6}},
      {"Spanish: pressure",
       "Tiempo (s);Presión de riel (kPa);Velocidad del motor (rpm)\n0;3500;150\n1;3600;151\n",
       rail_pressure,
       {3.5e6}},
      {"Spanish: the rest",
       "Tiempo (s);Temperatura del aceite (°C);Voltaje de batería (V);Ciclo de trabajo "
       "(%)\n0;20;11.5;40\n1;20;11.4;41\n",
       battery_voltage,
       {11.5}},
      {"bars between cells",
       "Time (s)|ICP (psi)|RPM\n0|512|150\n0.5|600|160\n",
       rail_pressure,
       {512 * psi, 600 * psi},
       {0, 0.5}},
      {"blanks between cells",
       "Time ICP_psi RPM\n0.0 512 150\n0.5 600 160\n",
       rail_pressure,
       {512 * psi, 600 * psi},
       {0, 0.5}},
      {"columns of blanks under headers of two words",
       "Time (s)   Oil temp (C)   ICP (psi)\n0.0        20             512\n0.5        20             600\n",
       rail_pressure,
       {512 * psi, 600 * psi},
       {0, 0.5}},
      {"blanks and decimal commas",
       "Time ICP_bar\n0,0 35,5\n0,5 36,5\n1,0 37,5\n",
       rail_pressure,
       {3.55e6, 3.65e6},
       {0, 0.5}},
      {"a line break in a quoted header",
       "Time (s),\"Oil\ntemp (C)\",\"ICP\n(psi)\"\n0,20,512\n1,21,600\n",
       rail_pressure,
       {512 * psi, 600 * psi},
       {0, 1}},
      {"typographic quotes", "Time (s),“ICP (psi)”\n0,512\n", rail_pressure, {512 * psi}},
      {"one damaged byte in UTF-8",
       "Time (s),ICP (psi),EOT (°F),Note\n0,500,40,caf\xE9\n1,500,40,x\n",
       oil_temperature,
       {(40 + 459.67) / 1.8}},
      {"the other code page's degree",
       "Time (s);EOT (\xB0"
       "F);Note \x96;ICP (psi)\n0;32;x;5\n1;50;y;6\n",
       oil_temperature,
       {273.15, 283.15}},
      {"thousands beside hundreds",
       "Time\tICP (kPa)\n10:00:00\t993\n10:00:01\t1,566\n10:00:02\t1,710\n",
       rail_pressure,
       {993e3, 1566e3, 1710e3}},
      {"no-break blanks between thousands",
       "Time (s);ICP (kPa)\n0;993\n1;1\xC2\xA0"
       "566\n",
       rail_pressure,
       {993e3, 1566e3}},
      {"apostrophes between thousands", "Time (s);ICP (kPa)\n0;993\n1;1'566\n", rail_pressure, {993e3, 1566e3}},
      {"a clock in whole seconds at 10 Hz",
       "Time,ICP (psi)\n" +
           rows(35, [](int i) { return "10:00:0" + std::to_string((i + 5) / 10) + "," + std::to_string(500 + i); }),
       rail_pressure,
       {500 * psi, 501 * psi, 502 * psi},
       {0, 0.1, 0.2}},
      {"a column of times for each signal",
       "t1 (s),ICP (psi),t2 (s),RPM\n0.0,512,0.1,150\n0.5,600,0.6,160\n",
       engine_speed,
       {150 * rpm, 160 * rpm},
       {0.1, 0.6},
       {.columns = {{.column = "1", .kind = ChannelKind::time}, {.column = "3", .kind = ChannelKind::time}}}},
      {"times that name their signal",
       "ICP time (s),RPM time (s),ICP (psi),RPM\n0.0,0.1,512,150\n0.5,0.6,600,160\n",
       engine_speed,
       {150 * rpm, 160 * rpm},
       {0.1, 0.6}},
      {"times of day for each signal start together",
       "Time,ICP (psi),Time,RPM\n10:00:00.0,512,10:00:00.2,150\n10:00:00.5,600,10:00:00.7,160\n",
       engine_speed,
       {150 * rpm, 160 * rpm},
       {0.2, 0.7}},
      {"a header in another order midway",
       "Time (s),ICP (psi),RPM\n0,512,150\n1,600,160\nTime (s),RPM,ICP (psi)\n2,170,700\n",
       rail_pressure,
       {512 * psi, 600 * psi, 700 * psi},
       {0, 1, 2}},
      {"the newest row first",
       "Time (s),ICP (psi)\n2,700\n1.5,650\n1,600\n0.5,550\n0,512\n",
       rail_pressure,
       {512 * psi, 550 * psi, 600 * psi},
       {0, 0.5, 1}},
      {"days as spreadsheets count them",
       "Time,ICP (psi)\n" +
           rows(6, [](int i) { return decimals(45000.5 + 0.5 * i / 86400, 9) + "," + std::to_string(500 + i); }),
       rail_pressure,
       {500 * psi, 501 * psi},
       {0, 0.5}},
      {"minutes without a unit",
       "Time,ICP (psi)\n" + rows(14, [](int i) { return decimals(0.5 * i / 60, 6) + "," + std::to_string(500 + i); }),
       rail_pressure,
       {500 * psi, 501 * psi},
       {0, 0.5}},
      {"milliseconds since an epoch",
       "Time,ICP (psi)\n1700000000000,512\n1700000000500,600\n",
       rail_pressure,
       {512 * psi, 600 * psi},
       {0, 0.5}},
      {"N counts rows beside RPM",
       "N,Time (s),RPM,ICP (psi)\n1,0,150,512\n2,1,160,600\n",
       engine_speed,
       {150 * rpm, 160 * rpm}},
      {"what is desired tells bar", crank("ICP", 22.8, 1, ",ICP_DES", ",51"), rail_pressure, {0, 2.3e5}},
      {"what is desired tells psi", crank("ICP", 300, 0, ",ICP_DES", ",725"), rail_pressure, {0, 30 * psi}},
      {"the unit of what is desired serves both",
       crank("ICP", 22.8, 1, ",ICP_DES (bar)", ",51"),
       rail_pressure,
       {0, 2.3e5}},
      {"a desired pressure takes the unit of the actual one",
       crank("ICP (bar)", 22.8, 1, ",ICP_DES", ",51"),
       desired_pressure,
       {5.1e6}},
      {"an engine that runs needs pressure", crank("ICP", 600, 0, ",RPM", ",700"), rail_pressure, {0, 60 * psi}},
      {"the sensor's volts tell bar",
       crank("ICP", 22.8, 1, ",ICP_V", ",0.62"),
       rail_pressure,
       {0, 2.3e5},
       {},
       {.engine = sensor}},
      {"volts alone become the pressure",
       "Time (s),ICP (V)\n0,0.24\n1,0.74\n2,1.24\n",
       rail_pressure,
       {0, 3e6, 6e6},
       {},
       {.engine = sensor}},
      {"6000 can only be kPa", crank("ICP", 6000, 0), rail_pressure, {0, 6e5}},
      {"a coolant of 195 tells degF for the oil",
       "Time (s),EOT,ECT,ICP (psi)\n0,80,195,5\n1,80,195,6\n",
       oil_temperature,
       {(80 + 459.67) / 1.8}},
      {"a word in a column of numbers is no sample",
       "Time (s),ICP (psi)\n0,512\n1,OFF\n2,600\n",
       rail_pressure,
       {512 * psi, 600 * psi},
       {0, 2}},
      {"long form in German",
       "Zeit;Kanal;Wert;Einheit\n0;Raildruck;35,5;bar\n0,1;Drehzahl;150,5;1/min\n0,5;Raildruck;36,5;bar\n",
       rail_pressure,
       {3.55e6, 3.65e6},
       {0, 0.5}},
      {"an empty unit row cell is no unit", "Time,ICP,Sync\ns,bar,\n0,35,1\n1,36,1\n", rail_pressure, {3.5e6, 3.6e6}},
  };
  return files;
}

TEST(AwkwardLogs, AreReadAsTheyAreWritten) {
  for (const Read& file : files_that_are_read()) {
    SCOPED_TRACE(file.why);
    try {
      const Log log = parse_log(file.bytes, "log.csv", file.options);
      EXPECT_TRUE(log.asks.empty()) << log.asks.front().text;
      const Channel* channel = log.find(file.kind);
      if (channel == nullptr) {
        ADD_FAILURE() << "no channel " << kind_name(file.kind);
        continue;
      }
      ASSERT_GE(channel->value.size(), file.value.size());
      for (std::size_t i = 0; i < file.value.size(); ++i)
        EXPECT_NEAR(channel->value[i], file.value[i], 1e-6 + 1e-9 * std::fabs(file.value[i])) << i;
      for (std::size_t i = 0; i < file.time.size(); ++i) EXPECT_NEAR(channel->time[i], file.time[i], 2e-4) << i;
    } catch (const Error& error) {
      ADD_FAILURE() << error.what();
    }
  }
}

struct Told {
  std::string why;
  std::string bytes;
  std::string part;  // of what is said
  LogOptions options = {};
};

// Where the answer hangs on what the file does not say, it is asked, with the words to write.
TEST(AwkwardLogs, AskWhatTheyDoNotSay) {
  const std::vector<Told> files = {
      {"psi of a dead pump without a unit", crank("ICP", 27, 0), "may be psi, kPa or bar"},
      {"bar without a unit", crank("ICP", 22.8, 1), "psi, kPa, bar or MPa"},
      {"512 without a unit", crank("ICP", 512, 0), "may be psi or kPa"},
      {"2.326 without a unit", crank("ICP", 2.326, 3), "bar or MPa"},
      {"volts or a pressure",
       "Time (s),ICP\n" + rows(14, [](int i) { return decimals(0.5 * i, 1) + "," + decimals(0.24 + 0.05 * i, 2); }),
       "V"},
      {"a unit that is none", crank("ICP (counts)", 512, 0), "\"counts\", which is no unit"},
      {"a unit with a factor", crank("ICP (psi x10)", 51, 0), "\"psi x10\", which is no unit"},
      {"a unit row that is none", "Time,ICP\ns,furlong\n0,512\n1,600\n", "\"furlong\" is no unit"},
      {"the unit of a value in long form", "Time,Name,Value,Unit\n0,ICP,3.5,foo\n0.1,RPM,150,rpm\n0.2,ICP,3.6,foo\n",
       "\"foo\" is no unit"},
      {"cold oil in degF or degC", crank("EOT", 20, 0, ",ICP (psi)", ",5"), "may be degC or degF"},
      {"90 in degF or degC", "Time (s),EOT,ICP (psi)\n0,90,5\n1,90,6\n", "may be degC or degF"},
      {"293 in K or degF", "Time (s),EOT,ICP (psi)\n0,293,5\n1,293,6\n", "degF or K"},
      {"one decimal or thousands", "Time;ICP (kPa)\n10:00:00;1,234\n10:00:01;1,566\n", "may be 1234 or 1.234"},
      {"a log of 75 us",
       "Time (s),ICP (psi)\n" + rows(14, [](int i) { return decimals(5.8e-6 * i, 8) + "," + std::to_string(500 + i); }),
       "odd for a crank"},
      {"a log of three hours",
       "Time (s),ICP (psi)\n" + rows(14, [](int i) { return std::to_string(800 * i) + "," + std::to_string(500 + i); }),
       "odd for a crank"},
      {"3000 steps of 1 in s or ms",
       "Time,ICP (psi)\n" + rows(3000, [](int i) { return std::to_string(i) + "," + std::to_string(500 + i % 7); }),
       "may be s or ms"},
      {"a duty of 1", "Time (s),IPR,ICP (psi)\n0,0,5\n1,1,6\n2,1,7\n", "% or a fraction"},
      {"a speed of 2.5", "Time (s),RPM,ICP (psi)\n0,0,5\n1,2.5,6\n2,2.6,7\n", "rpm, rev/s or rad/s"},
      {"a desired pressure of 20", crank("ICP (bar)", 2.3, 1, ",ICP_DES", ",20"), "no unit is written"},
  };
  for (const Told& file : files) {
    SCOPED_TRACE(file.why);
    try {
      const Log log = parse_log(file.bytes, "log.csv", file.options);
      ASSERT_FALSE(log.asks.empty());
      std::string all;
      for (const Ask& ask : log.asks) all += ask.text + "\n";
      EXPECT_NE(all.find(file.part), std::string::npos) << all;
      EXPECT_FALSE(log.asks.front().job.empty() || log.asks.front().option.empty());
      EXPECT_THROW(require_nothing_open(log), Error);
    } catch (const Error& error) {
      ADD_FAILURE() << error.what();
    }
  }
}

TEST(AwkwardLogs, NeedNothingMoreOnceTheyAreTold) {
  const std::vector<Told> files = {
      {"unit", crank("ICP", 512, 0), "", {.columns = {{.column = "ICP", .unit = "psi"}}}},
      {"unit in place of one that is none",
       crank("ICP (counts)", 512, 0),
       "",
       {.columns = {{.column = "ICP (counts)", .unit = "psi"}}}},
      {"decimal mark", "Time;ICP (kPa)\n10:00:00;1,234\n10:00:01;1,566\n", "", {.numbers = NumberStyle::decimal_point}},
      {"unit of the times",
       "Time,ICP (psi)\n" + rows(3000, [](int i) { return std::to_string(i) + "," + std::to_string(500 + i % 7); }),
       "",
       {.time_unit = "ms"}},
      {"that three hours are right",
       "Time (s),ICP (psi)\n" + rows(14, [](int i) { return std::to_string(800 * i) + "," + std::to_string(500 + i); }),
       "",
       {.time_unit = "s"}},
      {"column of a generic name",
       "time;pressure\n0;35\n1;36\n",
       "",
       {.columns = {{.column = "pressure", .kind = rail_pressure, .unit = "bar"}}}},
      {"separator", "Time (s)#ICP (psi)\n0#512\n1#600\n", "", {.separator = '#'}},
      {"header line", "Battery test\nTime (s),ICP (psi)\n0,512\n1,600\n", "", {.header_line = 2}},
  };
  for (const Told& file : files) {
    SCOPED_TRACE(file.why);
    try {
      const Log log = parse_log(file.bytes, "log.csv", file.options);
      EXPECT_TRUE(log.asks.empty()) << log.asks.front().text;
      EXPECT_NE(log.find(rail_pressure), nullptr);
    } catch (const Error& error) {
      ADD_FAILURE() << error.what();
    }
  }
}

TEST(AwkwardLogs, AreRefusedWithASentenceThatFits) {
  const std::vector<Told> files = {
      {"a web page", "<!DOCTYPE html><html><body><table><tr><td>Time</td></tr></table></body></html>\n",
       "is a web page"},
      {"a table of a web page", "  <table>\n<tr><td>Time</td><td>ICP</td></tr>\n</table>\n", "is a web page"},
      {"a workbook", "PK\x03\x04 xl/worksheets", "is a workbook"},
      {"a printed page", "%PDF-1.4\n", "printed page"},
      {"a packed file", std::string("\x1F\x8B\x08\x00", 4), "is packed"},
      {"generic words", "pressure;value\n1;2\n3;4\n",
       "none of the 2 columns has a known header: \"pressure\", \"value\""},
      {"a second table", "Time (s),ICP (psi),RPM\n0,512,150\n1,600,160\nTime (s),ICP (psi),EOT (C)\n2,700,20\n",
       "line 4: a second header with other columns"},
      {"words alone", "just words\nand more\n", "the first line holds \"just words\""},
      {"a table lying on its side", "Time (s),0,1,2,3\nICP (psi),512,600,650,660\nRPM,150,150,151,150\n",
       "lies on its side"},
  };
  for (const Told& file : files) {
    SCOPED_TRACE(file.why);
    try {
      parse_log(file.bytes, "log.csv", file.options);
      ADD_FAILURE() << "it was read";
    } catch (const Error& error) {
      EXPECT_NE(std::string(error.what()).find(file.part), std::string::npos) << error.what();
    }
  }
}

TEST(AwkwardLogs, NoteWhatIsChangedOrLeftOutWithItsLine) {
  struct Noted {
    std::string why, bytes;
    int line;
    std::string part;
  };
  const std::vector<Noted> files = {
      {"short rows", "Time (s),ICP (psi),RPM\n0,512,150\n1,600\n2,650,151\n", 3, "1 row is shorter than the header"},
      {"rows that are too long", "Time (s),ICP (psi)\n0,512\n1,600,7\n2,650\n", 3,
       "1 row holds more than the header names"},
      {"a file that ends within a number", "Time (s),ICP (psi),IPR (%)\n0,512,85.0\n1,600,85.0\n2,650,8", 4,
       "its last cell \"8\" may be half a number"},
      {"a file that ends within a row", "Time (s),ICP (psi),IPR (%)\n0,512,85.0\n1,600,85.0\n2,65", 4,
       "its last cell \"65\" may be half a number"},
      {"headers that are not known", "Time (s),ICP (psi),Vehicle speed\n0,512,0\n", 0,
       "not read, as their headers are not known: \"Vehicle speed\""},
      {"a second column of times", "Elapsed (s),Time,ICP (psi)\n0,10:00:00,512\n1,10:00:01,600\n", 0,
       "holds times too"},
      {"a coarse clock",
       "Time,ICP (psi)\n" +
           rows(30, [](int i) { return "10:00:0" + std::to_string(i / 10) + "," + std::to_string(500 + i); }),
       0, "spread evenly"},
      {"a repeated row", "Time (s),ICP (psi)\n0,512\n1,600\n1,600\n2,650\n", 4, "times repeat in 1 rows"},
      {"half a character",
       std::string("\xFF\xFET\0,\0I\0C\0P\0 \0p\0s\0i\0\n\0"
                   "0\0,\0"
                   "5\0\n\0x",
                   31),
       0, "half a character"},
      {"a damaged byte", "Time (s),ICP (psi),EOT (°C)\n0,500,40\n1,50\xE9,40\n", 3, "damaged character"},
      {"far more than was desired", crank("ICP (MPa)", 22.8, 1, ",ICP_DES (bar)", ",51"), 0, "times what is desired"},
      {"hexadecimal numbers", "Time (s),ICP (psi),RPM\n0,512,0x96\n", 2, "hexadecimal"},
      {"a guess", crank("ICP", 6000, 0), 0, "is read in kPa: no unit is written; 6000 fits no other unit"},
  };
  for (const Noted& file : files) {
    SCOPED_TRACE(file.why);
    try {
      const Log log = parse_log(file.bytes, "log.csv");
      std::string all;
      bool found = false;
      for (const Note& note : log.notes)
        found |= note.line == file.line && note.text.find(file.part) != std::string::npos, all += sentence(note) + "\n";
      EXPECT_TRUE(found) << all;
    } catch (const Error& error) {
      ADD_FAILURE() << error.what();
    }
  }
}

TEST(AwkwardLogs, OneMoreColumnOfAKindHasTheUnitOfTheFirst) {
  const Log log = parse_log("Time (s),ICP,ICP actual\n0,0,0\n1,6000,5000\n2,6000,5000\n", "log.csv");
  ASSERT_EQ(log.channels.size(), 2u);
  EXPECT_EQ(log.channels[0].unit, "kPa");
  EXPECT_EQ(log.channels[1].unit, "kPa");
  EXPECT_NEAR(log.channels[1].value[1], 5e6, 1e-3);
}

TEST(AwkwardLogs, AreManyEnough) { EXPECT_GE(files_that_are_read().size(), 55u); }

TEST(AwkwardLogs, GuessesAreShownAndWrittenUnitsAreSure) {
  EXPECT_FALSE(parse_log(crank("ICP", 6000, 0), "log.csv").layout.columns[1].certain);
  EXPECT_EQ(parse_log(crank("ICP", 6000, 0), "log.csv").layout.columns[1].unit_source, UnitSource::guessed);
  EXPECT_TRUE(parse_log(crank("ICP (kPa)", 6000, 0), "log.csv").layout.columns[1].certain);
  EXPECT_TRUE(parse_log(crank("ICP", 0, 0), "log.csv").layout.columns[1].certain)
      << "nothing in nothing is nothing in any unit";
}

TEST(AwkwardLogs, FlagsSpeakTheUnitAndTheLineOfTheFile) {
  const Log log = parse_log(
      "Time (s),ICP (psi),RPM\n0,512,150\n1,513,151\n2,514,16383\n3,515,150\n4,65535,151\n5,516,152\n", "log.csv");
  ASSERT_EQ(log.find(engine_speed)->flags.size(), 1u);
  EXPECT_EQ(log.find(engine_speed)->flags[0].line, 4);
  EXPECT_NE(log.find(engine_speed)->flags[0].text.find("16383 rpm"), std::string::npos)
      << log.find(engine_speed)->flags[0].text;
  ASSERT_EQ(log.find(rail_pressure)->flags.size(), 1u);
  EXPECT_EQ(log.find(rail_pressure)->flags[0].line, 6);
  EXPECT_EQ(log.find(rail_pressure)->flags[0].text.find("Pa"), std::string::npos)
      << log.find(rail_pressure)->flags[0].text;
}

TEST(AwkwardLogs, AWildCellDoesNotSpoilTheResolution) {
  const Log log = parse_log("Time (s),ICP (psi)\n0,500\n1,505\n2,510\n3,1e30\n4,515\n5,520\n", "log.csv");
  EXPECT_NEAR(log.find(rail_pressure)->resolution, 5 * psi, 1);
}

// What the usual signs of an open circuit show is -40 in either unit: common practice, no source.
TEST(AwkwardLogs, ATemperatureThatStandsForNoneIsFlagged) {
  const Log mixed = parse_log("Time (s),ICP (psi),EOT (C)\n0,1,90\n1,2,-40\n2,3,-40\n3,4,91\n", "log.csv");
  EXPECT_EQ(left_out(*mixed.find(oil_temperature)), (std::vector<bool>{false, true, true, false}));
  const Log cold = parse_log("Time (s),ICP (psi),EOT (C),ECT (C)\n0,1,-40,-36\n1,2,-39,-36\n2,3,-40,-37\n", "log.csv");
  EXPECT_EQ(left_out(*cold.find(oil_temperature)), (std::vector<bool>{false, false, false})) << "it may be so cold";
  const Log warm = parse_log("Time (s),ICP (psi),EOT (F),ECT (F)\n0,1,-40,180\n1,2,-40,180\n", "log.csv");
  EXPECT_EQ(left_out(*warm.find(oil_temperature)), (std::vector<bool>{true, true}));
}

// Every spelling of a unit of pressure against its definition.
TEST(LogUnit, KnowsTheSpellingsOfPressure) {
  struct Spelling {
    const char* text;
    double factor, offset;
  };
  const Spelling spellings[] = {
      {"psi", psi, 0},
      {"PSIG", psi, 0},
      {"psi g", psi, 0},
      {"lbf/in2", psi, 0},
      {"kPa", 1e3, 0},
      {"kPag", 1e3, 0},
      {"kPa gauge", 1e3, 0},
      {"barg", 1e5, 0},
      {"bar(g)", 1e5, 0},
      {"MPag", 1e6, 0},
      {"MPa rel", 1e6, 0},
      {"hPa", 1e2, 0},
      {"mbar", 1e2, 0},
      {"Pa", 1, 0},
      {"ksi", 1e3 * psi, 0},
      {"kgf/cm2", 98066.5, 0},
      {"kg/cm²", 98066.5, 0},
      {"N/mm2", 1e6, 0},
      {"psia", psi, -atmosphere},
      {"kPa abs", 1e3, -atmosphere},
      {"bar absolute", 1e5, -atmosphere},
      {"MPa (a)", 1e6, -atmosphere},
      {"kPa absolut", 1e3, -atmosphere},
      {"hPa abs", 1e2, -atmosphere},
  };
  for (const Spelling& spelling : spellings) {
    const auto unit = find_log_unit(spelling.text);
    ASSERT_TRUE(unit.has_value()) << spelling.text;
    EXPECT_EQ(unit->quantity, Quantity::pressure);
    EXPECT_NEAR(unit->factor, spelling.factor, 1e-9 * spelling.factor) << spelling.text;
    EXPECT_DOUBLE_EQ(unit->offset, spelling.offset) << spelling.text;
  }
  for (const char* none : {"counts", "psi x10", "kgf", "lbs", "a", "g", "abs"})
    EXPECT_FALSE(find_log_unit(none) && find_log_unit(none)->quantity == Quantity::pressure) << none;
}

TEST(HeaderWords, UnknownWordsMakeAColumnUnknown) {
  for (const char* header :
       {"Vehicle speed", "left rail pressure", "Boost pressure", "Intake air temperature", "Transmission oil temp",
        "Desired idle speed", "pressure", "engine", "Gear", "Fuel pressure"})
    EXPECT_EQ(kind_of_words(header), unknown) << header;
}

}  // namespace
}  // namespace railseep
