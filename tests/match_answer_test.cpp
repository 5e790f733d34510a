// What `railseep match --json` prints: against its schema, and against what the text of the same command says.
#include <gtest/gtest.h>
#include <sys/wait.h>

#include <array>
#include <cstdio>

#include "circuit/schema_check.hpp"
#include "full_match.hpp"
#include "made_up_log.hpp"
#include "made_up_match.hpp"
#include "shipped_circuits.hpp"
#include "words/answer.hpp"

namespace railseep {
namespace {

/// What the program prints, which must end well.
std::string printed(const std::string& arguments) {
  FILE* pipe = popen((RAILSEEP_PROGRAM " " + arguments + " 2>/dev/null").c_str(), "r");
  std::string text;
  std::array<char, 4096> part{};
  for (std::size_t size = 0; (size = fread(part.data(), 1, part.size(), pipe)) > 0;) text.append(part.data(), size);
  const int status = pclose(pipe);
  EXPECT_TRUE(WIFEXITED(status) && WEXITSTATUS(status) == 0) << arguments;
  return text;
}

/// Words of a text in a row, however its lines are broken.
std::string in_a_row(const std::string& text) {
  std::string row;
  for (const char c : text)
    if (!std::isspace(static_cast<unsigned char>(c)))
      row += c;
    else if (!row.empty() && row.back() != ' ')
      row += ' ';
  return row;
}

TEST(MatchAnswer, JsonFitsItsSchemaAndHoldsWhatTheTextSays) {
  FULL_MATCH;
  const std::string job = source_file("scenarios/gravel-truck/job.json");
  const Json json = Json::parse(printed("match --json " + job));
  const auto mistake = schema_mistake(read_json(models_folder() + "results/match.schema.json"), json);
  EXPECT_FALSE(mistake) << mistake->place << ": " << mistake->reason;
  for (const Json& candidate : json.at("candidates"))
    for (const Json& fault : candidate.at("faults")) {
      EXPECT_LE(fault.at("severity_90_percent").at(0), fault.at("severity")) << candidate.at("title");
      EXPECT_GE(fault.at("severity_90_percent").at(1), fault.at("severity")) << candidate.at("title");
    }
  const std::string text = in_a_row(printed("match --why " + job));
  for (const Json& line : json.at("in_short"))
    EXPECT_NE(text.find(line.get<std::string>()), std::string::npos) << line << " is not in the text";
  for (const Json& one : json.at("shortfalls"))
    for (const char* part : {"missing", "costs", "mend"})
      EXPECT_NE(text.find(one.at(part).get<std::string>()), std::string::npos) << one;
  EXPECT_NE(text.find(json.at("two_faults").at("words").get<std::string>()), std::string::npos);
  EXPECT_EQ(text.find("NOT ENOUGH EVIDENCE") == std::string::npos, json.at("enough_to_act").get<bool>());
}

// A wire that is broken has no size that volts at rest could tell; the wear of a pump that a log shows has one.
TEST(SeverityWords, AreOfSizesThatTheEvidenceTellsAlone) {
  const Circuit six = inline_six();
  FaultFit wire = fit(suspect(six, {"pressure sensor"}, "wire broken"), 0.95, 1);
  const Unknown prior = severity_unknown(wire.candidate.suspects.front());
  wire.severities = {{0.95, prior.least, prior.most}};
  EXPECT_EQ(severity_words(wire, {}), "");
  FaultFit wear = fit(suspect(six, {"high-pressure pump"}, "wear"), 12, 1);
  EXPECT_EQ(severity_words(wear, {}).find("12 x ("), 0u);
  const Unknown size = severity_unknown(wear.candidate.suspects.front());
  wear.severities = {{size.value(0), size.value(-1.645), size.value(1.645)}};
  EXPECT_EQ(severity_words(wear, {}), "");
}

}  // namespace
}  // namespace railseep
