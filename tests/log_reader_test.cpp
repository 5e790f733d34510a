#include "log/log_reader.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>
#include <random>

#include "log/header_reading.hpp"
#include "log/log_unit.hpp"
#include "quantity/error.hpp"
#include "units.hpp"

namespace railseep {
namespace {

using enum ChannelKind;

// All logs here are invented. What must come out follows from the text of the file and the factors
// 1 psi = 6894.757293168 Pa, t/degC = T/K - 273.15, t/degF = 1.8*T/K - 459.67 (NIST SP 811 (2008), App. B).

std::string utf16(const std::string& ascii, bool big_endian, bool mark) {
  std::string out = !mark ? "" : big_endian ? "\xFE\xFF" : "\xFF\xFE";
  for (const char c : ascii) {
    if (big_endian) out += '\0';
    out += c;
    if (!big_endian) out += '\0';
  }
  return out;
}

std::string repeated(const std::string& text, int times) {
  std::string out;
  for (int i = 0; i < times; ++i) out += text;
  return out;
}

const std::string plain = "Time,ICP,RPM\n0,512,150\n0.2,600,160\n";

struct NastyFile {
  std::string why;
  std::string bytes;
  ChannelKind kind;
  std::vector<double> time;   // [s]
  std::vector<double> value;  // [SI]
};

const std::vector<NastyFile>& nasty_files() {
  static const std::vector<NastyFile> files = {
      {"plain", plain, rail_pressure, {0, 0.2}, {512 * psi, 600 * psi}},
      {"no line end at the end", "Time,ICP\n0,512\n1,600", rail_pressure, {0, 1}, {512 * psi, 600 * psi}},
      {"preamble", "Session 7\nNote: demo, invented\n\n" + plain, engine_speed, {0, 0.2}, {150 * rpm, 160 * rpm}},
      {"20 preamble lines", repeated("# key;value\n", 20) + plain, rail_pressure, {0, 0.2}, {512 * psi, 600 * psi}},
      {"preamble that names a channel", "Battery,12.1\n" + plain, engine_speed, {0, 0.2}, {150 * rpm, 160 * rpm}},
      {"row of units", "Time;ICP;EOT\ns;kPa;degF\n0;3500;212\n1;3600;32\n", oil_temperature, {0, 1}, {373.15, 273.15}},
      {"row of units with a dash", "Time,ICP,Sync\ns,MPa,-\n0,3.5,1\n1,3.6,1\n", rail_pressure, {0, 1}, {3.5e6, 3.6e6}},
      {"unit in round brackets", "Time (s),ICP (bar)\n0,35\n1,36\n", rail_pressure, {0, 1}, {3.5e6, 3.6e6}},
      {"unit in square brackets", "Time [ms],ICP [MPa]\n0,3.5\n1,3.6\n", rail_pressure, {0, 1e-3}, {3.5e6, 3.6e6}},
      {"unit as last word", "time_s,rail_pressure_MPa\n0,0.2\n1,0.3\n", rail_pressure, {0, 1}, {2e5, 3e5}},
      {"capital unit", "TIME,ICP PSI\n0,25\n1,26\n", rail_pressure, {0, 1}, {25 * psi, 26 * psi}},
      {"absolute pressure", "Time,ICP (psia)\n0,514.695948775514\n", rail_pressure, {0}, {500 * psi}},
      {"decimal comma", "Time;ICP\n0,0;3,5\n0,2;3,6\n0,4;0,0\n", rail_pressure, {0, 0.2, 0.4}, {3.5e6, 3.6e6, 0}},
      {"tabs", "Time\tICP\n0\t512\n0.5\t600\n", rail_pressure, {0, 0.5}, {512 * psi, 600 * psi}},
      {"byte-order mark", "\xEF\xBB\xBF" + plain, rail_pressure, {0, 0.2}, {512 * psi, 600 * psi}},
      {"UTF-16 LE", utf16(plain, false, true), rail_pressure, {0, 0.2}, {512 * psi, 600 * psi}},
      {"UTF-16 BE", utf16(plain, true, true), rail_pressure, {0, 0.2}, {512 * psi, 600 * psi}},
      {"UTF-16 without mark", utf16(plain, false, false), rail_pressure, {0, 0.2}, {512 * psi, 600 * psi}},
      {"Latin-1",
       "Time;EOT (\xB0"
       "C)\n0;20\n1;21\n",
       oil_temperature,
       {0, 1},
       {293.15, 294.15}},
      {"UTF-8 degree", "Time;EOT (°F)\n0;32\n1;50\n", oil_temperature, {0, 1}, {273.15, 283.15}},
      {"CRLF", "Time,ICP\r\n0,512\r\n1,600\r\n", rail_pressure, {0, 1}, {512 * psi, 600 * psi}},
      {"CR alone", "Time,ICP\r0,512\r1,600\r", rail_pressure, {0, 1}, {512 * psi, 600 * psi}},
      {"quoted decimal commas",
       "\"Time\",\"ICP\"\n\"0,0\",\"3,5\"\n\"0,2\",\"0,0\"\n",
       rail_pressure,
       {0, 0.2},
       {3.5e6, 0}},
      {"quoted thousands",
       "Time,ICP\n0.0,\"1,204\"\n0.5,\"1,310\"\n",
       rail_pressure,
       {0, 0.5},
       {1204 * psi, 1310 * psi}},
      {"open quote", "Time,ICP,Note\n0,512,\"oops\n1,600,\n", rail_pressure, {0, 1}, {512 * psi, 600 * psi}},
      {"milliseconds by their steps",
       "Time,ICP\n1000,512\n1200,600\n",
       rail_pressure,
       {1, 1.2},
       {512 * psi, 600 * psi}},
      {"time of day",
       "Time,ICP\n09:20:48.100,512\n09:20:48.350,600\n",
       rail_pressure,
       {0, 0.25},
       {512 * psi, 600 * psi}},
      {"minutes and seconds", "Time,ICP\n59:59.5,512\n60:00.5,600\n", rail_pressure, {0, 1}, {512 * psi, 600 * psi}},
      {"clock over midnight",
       "Date Time,ICP\n2026-03-01 23:59:59.5,512\n2026-03-02 00:00:00.5,600\n",
       rail_pressure,
       {0, 1},
       {512 * psi, 600 * psi}},
      {"twelve-hour clock",
       "Time,ICP\n3/1/2026 11:59:59 AM,512\n3/1/2026 12:00:01 PM,600\n",
       rail_pressure,
       {0, 2},
       {512 * psi, 600 * psi}},
      {"date and time apart",
       "Date,Time,ICP\n2026-03-01,10:00:00,512\n2026-03-01,10:00:01,600\n",
       rail_pressure,
       {0, 1},
       {512 * psi, 600 * psi}},
      {"seconds since an epoch",
       "Timestamp,ICP\n1700000000.0,512\n1700000000.5,600\n",
       rail_pressure,
       {0, 0.5},
       {512 * psi, 600 * psi}},
      {"dots between thousands of microseconds",
       "Time;ICP (bar)\n0.000;7.825\n100.000;7.824\n1.100.000;7.820\n",
       rail_pressure,
       {0, 0.1, 1.1},
       {7.825e5, 7.824e5, 7.820e5}},
      {"long form",
       "Time,Name,Value,Unit\n0,ICP,3.5,MPa\n0.1,RPM,150,rpm\n0.2,ICP,36,bar\n",
       rail_pressure,
       {0, 0.2},
       {3.5e6, 3.6e6}},
      {"long form without heading",
       "0,ICP,512,psi\n0.1,RPM,150,rpm\n0.2,ICP,600,psi\n0.3,RPM,160,rpm\n",
       engine_speed,
       {0.1, 0.3},
       {150 * rpm, 160 * rpm}},
      {"blanks are no samples",
       "Time,ICP,RPM\n0,,150\n1,-,151\n2,N/A,152\n3,No data,153\n4,---,154\n5,512,155\n",
       rail_pressure,
       {5},
       {512 * psi}},
      {"units in the cells", "Time,ICP\n0 s,512 psi\n1 s,3500 kPa\n", rail_pressure, {0, 1}, {512 * psi, 3.5e6}},
      {"yes and no", "Time,Sync\n0,No\n1,YES\n2,off\n3,On\n", sync, {0, 1, 2, 3}, {0, 1, 0, 1}},
      {"hexadecimal", "Time,RPM\n0,0x96\n1,0xA0\n", engine_speed, {0, 1}, {150 * rpm, 160 * rpm}},
      {"duty as a fraction", "Time,IPR\n0,0.28\n1,0.65\n", regulator_duty, {0, 1}, {0.28, 0.65}},
      {"duty in percent", "Time,IPR%\n0,28\n1,65\n", regulator_duty, {0, 1}, {0.28, 0.65}},
      {"duty as a current", "Time,IPR (mA)\n0,280\n1,650\n", regulator_current, {0, 1}, {0.28, 0.65}},
      {"volts under a header of pressure",
       "Time,ICP\n0,0.24\n1,0.80\n2,1.00\n",
       rail_pressure_volts,
       {0, 1, 2},
       {0.24, 0.8, 1}},
      {"millivolts", "Time,ICP_V\n0,240\n1,800\n", rail_pressure_volts, {0, 1}, {0.24, 0.8}},
      {"kPa by its size", "Time,ICP\n0,0\n1,6000\n", rail_pressure, {0, 1}, {0, 6e6}},
      {"bar by its size", "Time,ICP\n0,0\n1,60\n", rail_pressure, {0, 1}, {0, 6e6}},
      {"MPa by its size", "Time,ICP\n0,0\n1,6\n", rail_pressure, {0, 1}, {0, 6e6}},
      {"degF by its size", "Time,EOT\n0,50\n1,212\n", oil_temperature, {0, 1}, {283.15, 373.15}},
      {"punctuation in a header", "Time,I.C.P. - Actual\n0,512\n", rail_pressure, {0}, {512 * psi}},
      {"desired", "Time,Desired Injection Control Pressure (psi)\n0,700\n", desired_pressure, {0}, {700 * psi}},
      {"codes as headers", "Time,0C,42\n0,150,12.1\n1,160,11.5\n", battery_voltage, {0, 1}, {12.1, 11.5}},
      {"plus in a header", "Time,B+\n0,12.1\n", battery_voltage, {0}, {12.1}},
      {"pulse in microseconds", "Time,FUELPW\n0,500\n1,2000\n", injector_pulse, {0, 1}, {500e-6, 2e-3}},
      {"base oil is not the rail", "Time,Oil pressure (psi),ICP (psi)\n0,40,512\n", base_oil_pressure, {0}, {40 * psi}},
      {"typographic minus",
       "Time,EOT (C)\n0,\xE2\x88\x92"
       "40\n",
       oil_temperature,
       {0},
       {233.15}},
      {"separator at line ends", "Time;ICP;\n0;512;\n1;600;\n", rail_pressure, {0, 1}, {512 * psi, 600 * psi}},
      {"short rows, time last",
       "ICP,RPM,Time\n512,150,0\n600\n700,160,2\n",
       rail_pressure,
       {0, 2},
       {512 * psi, 700 * psi}},
      {"word to spreadsheets", "sep=;\nTime;ICP\n0;512\n", rail_pressure, {0}, {512 * psi}},
      {"zero bytes at the end", plain + std::string(64, '\0'), rail_pressure, {0, 0.2}, {512 * psi, 600 * psi}},
      {"header again",
       plain + "Time,ICP,RPM\n0.4,700,170\n",
       rail_pressure,
       {0, 0.2, 0.4},
       {512 * psi, 600 * psi, 700 * psi}},
      {"a line of words",
       plain + "connection lost\n0.4,700,170\n",
       rail_pressure,
       {0, 0.2, 0.4},
       {512 * psi, 600 * psi, 700 * psi}},
      {"times repeat", "Time,ICP\n0,512\n0,600\n1,700\n", rail_pressure, {0, 0, 1}, {512 * psi, 600 * psi, 700 * psi}},
      {"time restarts",
       "Time,ICP\n5,512\n6,600\n7,650\n0,700\n1,710\n",
       rail_pressure,
       {5, 6, 7, 8, 9},
       {512 * psi, 600 * psi, 650 * psi, 700 * psi, 710 * psi}},
      {"time steps back a little",
       "Time,ICP\n0,512\n1,600\n2,650\n1.5,700\n3,710\n",
       rail_pressure,
       {0, 1, 2, 2, 3},
       {512 * psi, 600 * psi, 650 * psi, 700 * psi, 710 * psi}},
      {"a row without a time", "Time,ICP\n0,512\n,600\n2,650\n", rail_pressure, {0, 2}, {512 * psi, 650 * psi}},
  };
  return files;
}

TEST(LogReader, ReadsNastyFiles) {
  ASSERT_GE(nasty_files().size(), 30u);
  for (const NastyFile& file : nasty_files()) {
    SCOPED_TRACE(file.why);
    try {
      const Log log = parse_log(file.bytes, "nasty.csv");
      const Channel* channel = log.find(file.kind);
      if (channel == nullptr) {
        ADD_FAILURE() << "no channel " << kind_name(file.kind);
        continue;
      }
      ASSERT_EQ(channel->time.size(), file.time.size());
      ASSERT_EQ(channel->value.size(), file.value.size());
      for (std::size_t i = 0; i < file.time.size(); ++i) {
        EXPECT_NEAR(channel->time[i], file.time[i], 1e-6) << i;  // epochs are read to the microsecond
        EXPECT_NEAR(channel->value[i], file.value[i], 1e-9 * std::fabs(file.value[i])) << i;
      }
    } catch (const Error& error) {
      ADD_FAILURE() << error.what();
    }
  }
}

std::string error_in(const std::string& bytes, const LogOptions& options = {}) {
  try {
    parse_log(bytes, "log.csv", options);
  } catch (const Error& error) {
    return error.what();
  }
  return "no error";
}

TEST(LogReader, SaysWhereWhatAndWhatWouldBeRight) {
  const auto contains = [](const std::string& text, const std::string& part) {
    EXPECT_NE(text.find(part), std::string::npos) << text << "\nlacks " << part;
  };
  contains(error_in(""), "log.csv: the file is empty");
  contains(error_in("Time,ICP\n"), "log.csv: no row follows the header on line 1");
  contains(error_in("a,b\n1,2\n3,4\n"), "\"icp\" (rail_pressure)");
  contains(error_in("just words\nand more\n"), "no row of numbers was found");
  contains(error_in("ICP,RPM\n512,150\n"), "there is no column of times; a column \"time\", or the interval");
  contains(error_in("Sample,ICP\n1,512\n"), "there are sample numbers but no times");
  contains(error_in("Time,ICP\n0,abc\n1,def\n2,512\n"), "log.csv, line 2, column \"ICP\": \"abc\" is no value in psi");
  contains(error_in("Time,ICP\n0,1,512,5\n0,2,600,5\n"), "line 2: the row has 4 cells, the header 2");
  contains(error_in("Time,ICP\n0,-\n1,\n"), "no column holds a value");
  contains(error_in(std::string("Time,ICP\n0,5\0"
                                "12\n",
                                16)),
           "line 2: a zero byte stands inside the text");
  LogOptions slip;
  slip.columns.push_back({.column = "ICQ"});
  contains(error_in(plain, slip), "there is no column \"ICQ\"; did you mean \"ICP\"?");
  LogOptions wrong_unit;
  wrong_unit.columns.push_back({.column = "ICP", .unit = "rpm"});
  contains(error_in(plain, wrong_unit), "the unit \"rpm\" does not fit rail_pressure");
  EXPECT_THROW(read_log("no such folder/no such log.csv"), Error);
  EXPECT_THROW(read_log(RAILSEEP_SOURCE_DIR), Error);
}

TEST(LogReader, ObeysWhatItIsTold) {
  LogOptions options;
  options.columns.push_back({.column = "icp", .unit = "kPa", .factor = 10, .time_shift = -0.05, .resolution = 100});
  options.columns.push_back({.column = "3", .kind = ignored});
  const Log log = parse_log(plain, "log.csv", options);
  const Channel* rail = log.find(rail_pressure);
  ASSERT_NE(rail, nullptr);
  EXPECT_DOUBLE_EQ(rail->value[0], 5.12e6);
  EXPECT_DOUBLE_EQ(rail->time[1], 0.15);
  EXPECT_EQ(rail->resolution, 100);
  EXPECT_EQ(log.find(engine_speed), nullptr);

  LogOptions bare;
  bare.interval = 0.2;
  bare.header_line = 0;
  bare.columns.push_back({.column = "2", .kind = rail_pressure, .unit = "psi"});
  const Log counted = parse_log("7;512\n3;-\n9;600\n", "log.csv", bare);
  EXPECT_EQ(counted.find(rail_pressure)->time, (std::vector<double>{0, 0.4}));

  LogOptions interval;
  interval.interval = 0.5;
  const Log numbered = parse_log("Sample,ICP\n1,512\n2,600\n5,700\n", "log.csv", interval);
  EXPECT_EQ(numbered.find(rail_pressure)->time, (std::vector<double>{0, 0.5, 2}));

  LogOptions style;
  style.numbers = NumberStyle::decimal_comma;
  const Log thousands = parse_log("Time;ICP (bar)\n0;1.204\n1;1.205\n", "log.csv", style);
  EXPECT_DOUBLE_EQ(thousands.find(rail_pressure)->value[0], 1204e5);
}

// A linear sensor: zero 0.24 V, gain such that 1.24 V is 1000 psi.
TEST(LogReader, TurnsVoltsIntoPressureWhenToldTheSensor) {
  LogOptions options;
  options.columns.push_back({.column = "ICP V", .sensor_zero = 0.24, .sensor_gain = 1000 * psi});
  const Log log = parse_log("Time,ICP V\n0,0.24\n1,1.24\n2,0.74\n", "log.csv", options);
  const Channel* rail = log.find(rail_pressure);
  ASSERT_NE(rail, nullptr);
  EXPECT_TRUE(rail->from_volts);
  EXPECT_NEAR(rail->value[0], 0, 1e-6);
  EXPECT_NEAR(rail->value[1], 1000 * psi, 1e-6);
  EXPECT_NEAR(rail->resolution, 500 * psi, 1e-6);
  EXPECT_NE(log.find(rail_pressure_volts), nullptr);
}

TEST(LogReader, ShowsWhatItGuessedAndWhy) {
  const LogLayout layout =
      describe_log("Demo\nTime;ICP;IPR;Fuel rail pressure\n0,0;512;65,5;1\n0,2;498;65,1;1\n", "log.csv");
  EXPECT_EQ(layout.separator, ';');
  EXPECT_EQ(layout.header_line, 2);
  ASSERT_EQ(layout.columns.size(), 4u);
  EXPECT_EQ(layout.columns[1].unit_why, "no unit is written; 512 may be psi or kPa");
  EXPECT_EQ(layout.columns[2].numbers, NumberStyle::decimal_comma);
  EXPECT_EQ(layout.columns[3].kind, unknown);
  // 95 could be bar, or psi of an engine that never built pressure.
  EXPECT_FALSE(describe_log("Time,ICP\n0,95\n", "log.csv").columns[1].certain);
  EXPECT_EQ(describe_log("Sample,ICP\n1,512\n", "log.csv").columns[0].kind, sample_index);
  const LogLayout strange = describe_log("7;512\n8;600\n", "log.csv");
  ASSERT_EQ(strange.columns.size(), 2u);
  EXPECT_EQ(strange.columns[0].kind_why, "leftmost, never decreases");
  EXPECT_EQ(describe_log(utf16(plain, true, false), "log.csv").encoding, TextEncoding::utf16_be);
}

bool has_note(const Log& log, int line, const std::string& part) {
  for (const Note& note : log.notes) {
    if (note.line == line && note.text.find(part) != std::string::npos) return true;
  }
  return false;
}

TEST(LogReader, NotesWhatItMet) {
  const Log restart = parse_log("Time,ICP\n5,512\n6,600\n7,650\n0,700\n1,710\n", "log.csv");
  ASSERT_EQ(restart.segments.size(), 2u);
  EXPECT_DOUBLE_EQ(restart.segments[1].start, 8);
  EXPECT_DOUBLE_EQ(restart.segments[1].shift, 8);
  EXPECT_TRUE(has_note(restart, 5, "time restarts at 0 s"));
  EXPECT_DOUBLE_EQ(restart.sample_interval, 1);
  EXPECT_TRUE(has_note(parse_log("Time,ICP\n0,512\n0,600\n1,700\n", "log.csv"), 3, "times repeat in 1 rows"));
  EXPECT_TRUE(has_note(parse_log("Time,ICP\n0,1\n1,2\n2,3\n90,4\n", "log.csv"), 5, "time jumps ahead by 88 s"));
  EXPECT_TRUE(has_note(parse_log(plain + "connection lost\n", "log.csv"), 4, "\"connection lost\" is no row of data"));
  EXPECT_TRUE(has_note(parse_log("Time,ICP,ICP actual\n0,512,513\n", "log.csv"), 0, "one more rail_pressure"));
  const Log volts = parse_log("Time,EOT (V),ICP (psi)\n0,1.2,512\n", "log.csv");
  EXPECT_EQ(volts.find(oil_temperature), nullptr);
  EXPECT_TRUE(has_note(volts, 0, "the unit \"V\" does not fit oil_temperature; it is left out"));
  EXPECT_TRUE(has_note(parse_log("Time,ICP (inHg)\n0,30\n", "log.csv"), 0, "inches of mercury"));
  EXPECT_TRUE(
      has_note(parse_log("Time,ICP,Fuel rail pressure\n0,512,3\n", "log.csv"), 0, "may be oil, fuel or nothing"));
}

std::vector<Flag> flags_of(const Log& log, ChannelKind kind, FlagKind flag) {
  std::vector<Flag> found;
  for (const Flag& one : log.find(kind)->flags) {
    if (one.kind == flag) found.push_back(one);
  }
  return found;
}

// Rows "t,p,n[,desired]" with a pressure and a speed for every sample.
std::string crank_log(const std::vector<double>& pressures, bool speed_moves) {
  std::string text = "Time (s),ICP (psi),RPM\n";
  for (std::size_t i = 0; i < pressures.size(); ++i) {
    const double speed = speed_moves ? 140.0 + 10 * static_cast<double>(i % 3) : 150;
    text += std::to_string(static_cast<double>(i) * 0.2) + "," + std::to_string(pressures[i]) + "," +
            std::to_string(speed) + "\n";
  }
  return text;
}

TEST(LogFlags, FlatPressureWhileSpeedMovesIsSubstituted) {
  std::vector<double> flat = {500, 510};
  flat.insert(flat.end(), 8, 870);
  flat.push_back(640);
  const auto found = flags_of(parse_log(crank_log(flat, true), "log.csv"), rail_pressure, FlagKind::substituted);
  ASSERT_EQ(found.size(), 1u);
  EXPECT_EQ(found[0].first, 2u);
  EXPECT_EQ(found[0].last, 9u);
  EXPECT_TRUE(flags_of(parse_log(crank_log(flat, false), "log.csv"), rail_pressure, FlagKind::substituted).empty());
  flat.erase(flat.begin() + 2);  // seven alike are not enough
  EXPECT_TRUE(flags_of(parse_log(crank_log(flat, true), "log.csv"), rail_pressure, FlagKind::substituted).empty());
}

TEST(LogFlags, PressureEqualToDesiredIsSubstituted) {
  const std::string text = "Time,ICP (psi),Desired (psi)\n";
  std::string same = text, apart = text;
  for (int i = 0; i < 9; ++i) {
    same += std::to_string(i) + ",870,870\n";
    apart += std::to_string(i) + ",870,900\n";
  }
  EXPECT_EQ(flags_of(parse_log(same, "log.csv"), rail_pressure, FlagKind::substituted).size(), 1u);
  EXPECT_TRUE(flags_of(parse_log(apart, "log.csv"), rail_pressure, FlagKind::substituted).empty());
}

TEST(LogFlags, PlateauAtZeroIsClipped) {
  std::vector<double> zero(9, 0.0);
  zero.push_back(300);
  zero.push_back(420);
  const Log log = parse_log(crank_log(zero, true), "log.csv");
  const auto found = flags_of(log, rail_pressure, FlagKind::clipped_at_zero);
  ASSERT_EQ(found.size(), 1u);
  EXPECT_EQ(found[0].last, 8u);
  EXPECT_TRUE(flags_of(log, rail_pressure, FlagKind::substituted).empty());
}

TEST(LogFlags, WildSampleIsASpikeAndStays) {
  const std::vector<double> wild = {500, 505, 502, 506, 3900, 504, 507, 503};
  const Log log = parse_log(crank_log(wild, true), "log.csv");
  const auto found = flags_of(log, rail_pressure, FlagKind::spike);
  ASSERT_EQ(found.size(), 1u);
  EXPECT_EQ(found[0].first, 4u);
  EXPECT_NEAR(log.find(rail_pressure)->value[4], 3900 * psi, 1);
  // A step is no spike, nor is noise.
  const std::vector<double> step = {500, 505, 502, 506, 1500, 1504, 1507, 1503};
  EXPECT_TRUE(flags_of(parse_log(crank_log(step, true), "log.csv"), rail_pressure, FlagKind::spike).empty());
}

TEST(LogFlags, GapIsADropoutOfThatChannelAlone) {
  const Log log = parse_log(
      "Time,ICP,RPM\n0,512,150\n1,513,151\n2,,152\n3,,153\n4,,154\n5,514,155\n6,515,156\n7,516,157\n", "log.csv");
  const auto found = flags_of(log, rail_pressure, FlagKind::dropout);
  ASSERT_EQ(found.size(), 1u);
  EXPECT_EQ(found[0].first, 1u);
  EXPECT_EQ(found[0].last, 2u);
  EXPECT_TRUE(flags_of(log, engine_speed, FlagKind::dropout).empty());
}

// A clock of whole seconds at five samples a second: no sample is missing.
TEST(LogFlags, CoarseClockIsNoDropout) {
  std::string text = "Time,ICP (psi)\n";
  for (int i = 0; i < 30; ++i) text += "10:00:0" + std::to_string(i / 5) + "," + std::to_string(500 + i) + "\n";
  const Log log = parse_log(text, "log.csv");
  EXPECT_TRUE(flags_of(log, rail_pressure, FlagKind::dropout).empty());
  EXPECT_NEAR(log.sample_interval, 0.2, 1e-9);
}

TEST(LogFlags, ImpossibleAndUnreadableValuesAreFlagged) {
  const Log log = parse_log("Time,Battery (V),EOT (C)\n0,12.1,20\n1,65.5,ERR\n2,12.0,21\n3,11.9,999\n", "log.csv");
  EXPECT_EQ(flags_of(log, battery_voltage, FlagKind::impossible).size(), 1u);
  EXPECT_EQ(log.find(battery_voltage)->value.size(), 4u);
  const auto unreadable = flags_of(log, oil_temperature, FlagKind::unreadable);
  ASSERT_EQ(unreadable.size(), 1u);
  EXPECT_EQ(unreadable[0].line, 3);
  EXPECT_NE(unreadable[0].text.find("\"ERR\""), std::string::npos);
  EXPECT_EQ(log.find(oil_temperature)->value.size(), 3u);
  EXPECT_EQ(flags_of(log, oil_temperature, FlagKind::impossible).size(), 1u);
}

TEST(LogReader, FindsTheSmallestStepSeen) {
  const Log log = parse_log("Time,IPR (%)\n0,28.24\n1,28.63\n2,29.41\n3,28.24\n", "log.csv");
  EXPECT_NEAR(log.find(regulator_duty)->resolution, 0.0039, 1e-9);
}

// Real files in an odd number format; how they are written and their length (about 145 s at 10 Hz, 7 to 8 bar at the
// start) is told by the README beside them (Zillen, Vallery, Smit 2021, CC0).
TEST(LogReader, ReadsThePublishedAirHoldFiles) {
  const std::filesystem::path folder = std::filesystem::path(RAILSEEP_SOURCE_DIR) / "../shared/data/air-pressure-hold";
  if (!std::filesystem::exists(folder)) GTEST_SKIP() << "the folder shared/data/air-pressure-hold is absent";
  LogOptions options;
  options.columns.push_back({.column = "2", .kind = rail_pressure_volts, .unit = "V"});
  options.columns.push_back({.column = "3", .kind = rail_pressure, .unit = "bar"});
  int files = 0;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    if (!entry.path().filename().string().starts_with("chamber_")) continue;
    SCOPED_TRACE(entry.path().filename().string());
    const Log log = read_log(entry.path(), options);
    const Channel* pressure = log.find(rail_pressure);
    ASSERT_NE(pressure, nullptr);
    EXPECT_EQ(log.segments.size(), 1u);
    EXPECT_NEAR(log.sample_interval, 0.1, 0.01);
    EXPECT_GT(pressure->time.back() - pressure->time.front(), 100);
    EXPECT_LT(pressure->time.back() - pressure->time.front(), 200);
    EXPECT_GT(pressure->value.front(), 6.9e5);
    EXPECT_LT(pressure->value.front(), 8.1e5);
    ++files;
  }
  EXPECT_GT(files, 0);
}

// Random bytes in, out and changed: whatever the file becomes, only Error may escape, and what is read is sound.
TEST(LogReader, SurvivesDamagedFiles) {
  std::mt19937 random(7);
  const auto below = [&random](std::size_t n) { return static_cast<std::size_t>(random() % n); };
  constexpr char bytes_that_matter[] = "\0\"\n\r,;\t.:-0x%\xFF\xFE e9";
  const std::string favourites(bytes_that_matter, sizeof bytes_that_matter - 1);
  std::size_t read = 0, refused = 0;
  for (int round = 0; round < 60; ++round) {
    for (const NastyFile& file : nasty_files()) {
      std::string bytes = file.bytes;
      for (std::size_t hits = 1 + below(6); hits > 0 && !bytes.empty(); --hits) {
        const std::size_t at = below(bytes.size());
        const char byte = below(2) ? favourites[below(favourites.size())] : static_cast<char>(random() & 0xFF);
        switch (below(4)) {
          case 0:
            bytes[at] = byte;
            break;
          case 1:
            bytes.insert(at, 1 + below(4), byte);
            break;
          case 2:
            bytes.erase(at, 1 + below(8));
            break;
          default:
            bytes.insert(at, bytes.substr(below(bytes.size()), below(24)));
            break;
        }
      }
      try {
        const Log log = parse_log(bytes, "damaged.csv");
        ++read;
        for (const Channel& channel : log.channels) {
          ASSERT_EQ(channel.time.size(), channel.value.size());
          for (std::size_t i = 0; i < channel.time.size(); ++i) {
            ASSERT_TRUE(std::isfinite(channel.time[i]) && std::isfinite(channel.value[i]));
            ASSERT_GE(channel.time[i], channel.time[i == 0 ? 0 : i - 1]);
          }
          for (const Flag& flag : channel.flags) ASSERT_LE(flag.first, flag.last);
        }
      } catch (const Error&) {
        ++refused;
      }
    }
  }
  EXPECT_GT(read, 100u);
  EXPECT_GT(refused, 100u);
}

TEST(LogUnit, SymbolsReadBack) {
  for (const char* spelling :
       {"PSIG", "psia", "kPa abs", "bar(a)", "deg C", "°F", "msec", "Volts", "inHg", "1/min", "%"}) {
    const auto unit = find_log_unit(spelling);
    ASSERT_TRUE(unit.has_value()) << spelling;
    const auto again = find_log_unit(unit->name());
    ASSERT_TRUE(again.has_value()) << unit->name();
    EXPECT_EQ(again->factor, unit->factor);
    EXPECT_EQ(again->offset, unit->offset);
  }
  EXPECT_FALSE(find_log_unit("").has_value());
  EXPECT_FALSE(find_log_unit("furlong").has_value());
}

TEST(ChannelKind, NamesReadBack) {
  for (int i = 0; i <= static_cast<int>(unknown); ++i) {
    const auto kind = static_cast<ChannelKind>(i);
    EXPECT_EQ(parse_channel_kind(kind_name(kind)), kind);
  }
  EXPECT_THROW(parse_channel_kind("rail_presure"), Error);
}

// Spellings met in the trade: common practice, no source.
TEST(ChannelKind, KnowsTheUsualHeaders) {
  const std::pair<const char*, ChannelKind> headers[] = {
      {"ICP", rail_pressure},
      {"icp_p", rail_pressure},
      {"ICP act", rail_pressure},
      {"Injector Control Pressure", rail_pressure},
      {"IAP", rail_pressure},
      {"Control oil pressure", rail_pressure},
      {"HPO pressure", rail_pressure},
      {"ICP (V)", rail_pressure_volts},
      {"ICP sensor voltage", rail_pressure_volts},
      {"icp volts", rail_pressure_volts},
      {"ICP_DES", desired_pressure},
      {"icpd", desired_pressure},
      {"Commanded", desired_pressure},
      {"ICP cmd", desired_pressure},
      {"IPR DC", regulator_duty},
      {"ipr%", regulator_duty},
      {"Regulator Duty", regulator_duty},
      {"Actuation control current", regulator_current},
      {"Engine Speed", engine_speed},
      {"N", engine_speed},
      {"Engine speed (1/min)", engine_speed},
      {"Engine Oil Temperature", oil_temperature},
      {"5C", oil_temperature},
      {"ECT", coolant_temperature},
      {"VPWR", battery_voltage},
      {"Module voltage", battery_voltage},
      {"IPW", injector_pulse},
      {"Fuel Pulse Width (ms)", injector_pulse},
      {"Main Power", driver_voltage},
      {"Cam/Crank Sync", sync},
      {"EOP", base_oil_pressure},
      {"Lube pressure", base_oil_pressure},
      {"Time (HH:MM:SS)", ChannelKind::time},
      {"Oil temp deg C", oil_temperature},
      {"Engine speed 1/min", engine_speed},
      {"ICP mV", rail_pressure_volts},
      {"shown pressure [MPa]", rail_pressure},
      {"wanted pressure [psi]", desired_pressure},
      {"left rail pressure [MPa]", unknown},
      {"ICP (desired)", desired_pressure},
      {"Engine speed (desired)", unknown},
      {"Desired engine speed", unknown},
      {"Fuel rail pressure", unknown},
      {"EOT volts", unknown},
      {"Vehicle", unknown},
  };
  for (const auto& [header, kind] : headers) {
    const HeaderReading reading = read_header(header);
    const bool volts = find_log_unit(reading.unit) && find_log_unit(reading.unit)->quantity == Quantity::voltage;
    const ChannelKind found = reading.kind == rail_pressure && volts ? rail_pressure_volts : reading.kind;
    EXPECT_EQ(kind_name(found), kind_name(kind)) << header;
  }
}

}  // namespace
}  // namespace railseep
