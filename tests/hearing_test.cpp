#include <gtest/gtest.h>

#include <complex>
#include <cstring>
#include <unsupported/Eigen/FFT>

#include "hearing/hiss.hpp"
#include "quantity/error.hpp"

namespace railseep {
namespace {

BandLevels flat(double level) {
  BandLevels bands;
  bands.fill(level);
  return bands;
}

SoundSource source(const std::string& name, double level, double wetness = 0) {
  return {name, "", flat(level), wetness};
}

Listening one_point(std::vector<SoundPath> paths) { return {{{"cover", 40, ""}}, std::move(paths)}; }

// Free field of a sphere (rows 6g, 6h, computed from Lp = Lw - 10*log10(4*pi*r^2)).
TEST(Hearing, SpreadsAsASphere) {
  const auto at = [](double distance) { return band_at(0, 500, {"", "", 0, 0, distance, ""}); };
  EXPECT_NEAR(at(0.25), 1.049, 0.001);
  EXPECT_NEAR(at(0.5), -4.971, 0.001);
  EXPECT_NEAR(at(1), -10.992, 0.001);
  EXPECT_NEAR(at(2), -17.013, 0.001);
}

TEST(Hearing, MufflesHighFrequenciesMore) {
  const SoundPath path{"", "", 10, 3, 1, ""};
  EXPECT_NEAR(band_at(0, 500, path), -10.992 - 10, 0.001);
  EXPECT_NEAR(band_at(0, 4000, path), -10.992 - 10 - 9, 0.001);
}

TEST(Hearing, TwoEqualSourcesAddThreeDecibels) {
  EXPECT_NEAR(add_levels(70, 70), 73.0103, 1e-4);
  const Listening listening = one_point({{"a", "cover", 0, 0, 1, ""}, {"b", "cover", 0, 0, 1, ""}});
  const double one = hear({source("a", 60)}, listening, ear_tools[0])[0].level;
  const double two = hear({source("a", 60), source("b", 60)}, listening, ear_tools[0])[0].level;
  EXPECT_NEAR(two - one, 3.0103, 1e-4);
}

TEST(Hearing, LoudNeighbourMasks) {
  const Listening listening = one_point({{"a", "cover", 0, 0, 1, ""}, {"b", "cover", 0, 0, 1, ""}});
  const auto find = [](const HeardPoint& point, const std::string& name) {
    return *std::find_if(point.sources.begin(), point.sources.end(),
                         [&](const HeardSource& s) { return s.name == name; });
  };
  const HeardSource alone = find(hear({source("a", 50)}, listening, ear_tools[0])[0], "a");
  EXPECT_NE(alone.heard, HeardWord::silent);
  EXPECT_FALSE(alone.masked);
  const HeardSource beside = find(hear({source("a", 50), source("b", 75)}, listening, ear_tools[0])[0], "a");
  EXPECT_EQ(beside.heard, HeardWord::silent);
  EXPECT_TRUE(beside.masked);
}

TEST(Hearing, NothingIsHeardWhereNoPathLeads) {
  const HeardPoint point = hear({source("a", 120)}, one_point({}), ear_tools[0])[0];
  EXPECT_EQ(point.heard, HeardWord::silent);
  EXPECT_LT(point.level, 0);
}

TEST(Hearing, TubeAndStethoscopeHearMore) {
  const Listening listening = one_point({{"a", "cover", 20, 0, 1, ""}});
  double last = -100;
  for (const EarTool& tool : ear_tools) {
    const double now = hear({source("a", 55)}, listening, tool)[0].audibility;
    EXPECT_GT(now, last) << tool.name;
    last = now;
  }
}

TEST(Hearing, NoisyShopHidesTheHiss) {
  const Listening listening = one_point({{"a", "cover", 0, 0, 1, ""}});
  EXPECT_NE(hear({source("a", 45)}, listening, ear_tools[0])[0].heard, HeardWord::silent);
  EXPECT_EQ(hear({source("a", 45)}, listening, ear_tools[0], 30)[0].heard, HeardWord::silent);
}

TEST(Hearing, WetLeakIsMuffledAndGurgles) {
  const Listening listening = one_point({{"a", "cover", 0, 0, 1, ""}});
  const HeardPoint dry = hear({source("a", 60)}, listening, ear_tools[0])[0],
                   wet = hear({source("a", 60, 1)}, listening, ear_tools[0])[0];
  EXPECT_LT(wet.level, dry.level - 10);
  EXPECT_TRUE(wet.sources[0].gurgles);
  EXPECT_FALSE(dry.sources[0].gurgles);
}

// One band at 1 kHz, where A-weighting is 0 dB: Lp = Lw - 10*log10(4*pi*r^2) - loss + gain, with -4.971 dB for 0.5 m
// (row 6g).
TEST(Hearing, LevelAtTheEarIsThatOfASphereLessTheLossOfThePath) {
  SoundSource hiss{"a", "", flat(-300), 0};
  hiss.power[9] = 80;
  const Listening listening = one_point({{"a", "cover", 12, 0, 0.5, ""}});
  EXPECT_NEAR(hear({hiss}, listening, ear_tools[0])[0].level, 80 - 4.971 - 12, 0.002);
  EXPECT_NEAR(hear({hiss}, listening, find_ear_tool("tube"))[0].level, 80 - 4.971 - 12 + 6, 0.002);
  hiss.wetness = 1;
  EXPECT_NEAR(hear({hiss}, listening, ear_tools[0])[0].level, 80 - 4.971 - 12 - 15, 0.002);
}

// In one band alone a hiss stands out by what its level exceeds the room's there: faint from 0 dB, clear from 10, loud
// from 25 (assumed).
TEST(Hearing, WordAtTheEarIsThatOfTheDecibelsAboveTheRoom) {
  const Listening listening = one_point({{"a", "cover", 12, 0, 0.5, ""}});
  const auto heard = [&](double above) {
    SoundSource hiss{"a", "", flat(-300), 0};
    hiss.power[9] = hear({}, listening, ear_tools[0])[0].room[9] + 4.971 + 12 + above;
    const HeardPoint point = hear({hiss}, listening, ear_tools[0])[0];
    EXPECT_EQ(point.heard, point.sources[0].heard);
    return point.heard;
  };
  for (const auto& [above, word] : {std::pair{-0.5, HeardWord::silent},
                                    {0.5, HeardWord::faint},
                                    {9.5, HeardWord::faint},
                                    {10.5, HeardWord::clear},
                                    {24.5, HeardWord::clear},
                                    {25.5, HeardWord::loud}})
    EXPECT_EQ(heard(above), word) << above;
}

TEST(Hearing, AudibilityOfASignalAsStrongAsTheNoiseInOneBandIsZero) {
  BandLevels signal = flat(-300);
  signal[10] = 40;
  EXPECT_NEAR(audibility(signal, flat(40)), 0, 1e-9);
}

// A source that leaves in each band, at the ear, just what the room does: 22 bands with a signal as strong as the
// noise, sqrt(22) times one such band in energy (the definition that hearing's words go by), less what a silent ear
// already does not hear. The sphere of 1 m takes 10*log10(4*pi) of it.
TEST(Hearing, ASourceAsLoudAsTheRoomIsItsEqualInEveryBand) {
  const Listening listening{{{"cover", 60, ""}}, {{"a", "cover", 0, 0, 1, ""}}};
  SoundSource as_the_room{"a", "", room_noise_bands(60), 0};
  for (double& band : as_the_room.power) band += 10 * std::log10(4 * M_PI);
  EXPECT_NEAR(hear({as_the_room}, listening, ear_tools[0])[0].audibility, 5 * std::log10(22.0), 0.3);
  EXPECT_NEAR(hear({as_the_room}, listening, ear_tools[0], 6)[0].audibility, 5 * std::log10(22.0) - 6, 0.3);
}

TEST(Hearing, WordsFollowTheirThresholds) {
  EXPECT_EQ(word_for(-0.1), HeardWord::silent);
  EXPECT_EQ(word_for(0.1), HeardWord::faint);
  EXPECT_EQ(word_for(9.9), HeardWord::faint);
  EXPECT_EQ(word_for(10.1), HeardWord::clear);
  EXPECT_EQ(word_for(24.9), HeardWord::clear);
  EXPECT_EQ(word_for(25.1), HeardWord::loud);
  for (const char* text : {"silent", "faint", "clear", "loud"}) EXPECT_EQ(word(parse_heard_word(text)), text);
  EXPECT_THROW(parse_heard_word("lout"), Error);
}

// IEC 61672-1, table of A-weighting: -26.2 dB at 63 Hz, -8.6 at 250 Hz, 0 at 1 kHz, 1.0 at 4 kHz, -1.1 at 8 kHz (from
// memory).
TEST(Hearing, WeightsAsTheStandardDoes) {
  const std::pair<double, double> rows[] = {{63.096, -26.2}, {251.19, -8.6}, {1000, 0}, {3981.1, 1.0}, {7943.3, -1.1}};
  for (const auto& [f, weight] : rows) EXPECT_NEAR(a_weighting(f), weight, 0.06) << f;
}

// The same standard at 125 Hz: -16.1 dB (from memory). A hiss in that band alone is as much quieter.
TEST(Hearing, LevelOfAHissIsThatOfItsWeightedBands) {
  BandLevels bands = flat(-300);
  bands[0] = 60;
  EXPECT_NEAR(a_weighted_level(bands), 60 - 16.1, 0.15);
}

TEST(Hearing, RoomNoiseHasItsAWeightedLevel) { EXPECT_NEAR(a_weighted_level(room_noise_bands(48)), 48, 1e-9); }

double measured_band_level(const std::vector<float>& samples, double low, double high) {
  std::vector<double> time(samples.begin(), samples.end());
  std::vector<std::complex<double>> lines;
  Eigen::FFT<double> transform;
  transform.fwd(lines, time);
  double energy = 0;
  for (std::size_t i = 1; i < time.size() / 2; ++i) {
    const double f = static_cast<double>(i) * sample_rate / static_cast<double>(time.size());
    if (f >= low && f < high) energy += 2 * std::norm(lines[i]);
  }
  const double mean_square = energy / (static_cast<double>(time.size()) * static_cast<double>(time.size()));
  return full_scale_level + 10 * std::log10(mean_square / 0.5);
}

// The samples are measured again with a Fourier transform: each band has the level it was asked for.
TEST(Hiss, HasTheLevelOfEachBand) {
  BandLevels bands = flat(0);
  for (int i = 0; i < band_count; ++i) bands[i] = 40 + 10 * std::sin(i);
  const std::vector<float> samples = hiss(bands, 65536 / sample_rate, 7);
  for (int i = 3; i < band_count; ++i) {
    const double edge = std::pow(10, 0.05), lines = band_centre(i) * (edge - 1 / edge) * 65536 / sample_rate;
    EXPECT_NEAR(measured_band_level(samples, band_centre(i) / edge, band_centre(i) * edge), bands[i],
                4 * 4.34 / std::sqrt(lines) + 0.05)
        << band_centre(i);
  }
}

TEST(Hiss, IsTheSameForTheSameSeed) {
  EXPECT_EQ(hiss(flat(50), 0.1, 3), hiss(flat(50), 0.1, 3));
  EXPECT_NE(hiss(flat(50), 0.1, 3), hiss(flat(50), 0.1, 4));
}

TEST(Hiss, StaysWithinFullScale) {
  for (const float sample : hiss(flat(120), 0.2, 1)) EXPECT_LE(std::abs(sample), 1.0f);
}

TEST(Hiss, GurglingSwellsAndFades) {
  const auto swing = [](double gurgle) {
    const std::vector<float> samples = hiss(flat(50), 1, 1, gurgle);
    double least = 1e9, most = 0;
    for (std::size_t i = 0; i + 882 < samples.size(); i += 882) {
      double energy = 0;
      for (std::size_t k = 0; k < 882; ++k) energy += samples[i + k] * samples[i + k];
      least = std::min(least, energy), most = std::max(most, energy);
    }
    return most / least;
  };
  EXPECT_LT(swing(0), 5);
  EXPECT_GT(swing(1), 50);
}

TEST(Wav, HasAHeaderOf44BytesAndTwoBytesASample) {
  const std::string text = wav_text({0.0f, 1.0f, -1.0f});
  ASSERT_EQ(text.size(), 50u);
  EXPECT_EQ(text.substr(0, 4), "RIFF");
  EXPECT_EQ(text.substr(8, 8), "WAVEfmt ");
  EXPECT_EQ(text.substr(36, 4), "data");
  const auto number = [&](std::size_t at, int bytes) {
    std::uint32_t value = 0;
    for (int i = bytes; i-- > 0;)
      value = value << 8 | static_cast<unsigned char>(text[at + static_cast<std::size_t>(i)]);
    return value;
  };
  EXPECT_EQ(number(4, 4), 42u);
  EXPECT_EQ(number(24, 4), 44100u);
  EXPECT_EQ(number(40, 4), 6u);
  EXPECT_EQ(number(46, 2), 32767u);
  EXPECT_EQ(number(48, 2), 32769u);
}

}  // namespace
}  // namespace railseep
