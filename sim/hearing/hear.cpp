#include "hearing/hear.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "quantity/error.hpp"
#include "quantity/quantity.hpp"

namespace railseep {

namespace {

constexpr std::string_view words[] = {"silent", "faint", "clear", "loud"};
constexpr double wet_loss = 15;       // a wholly wet leak is so much quieter [dB]: assumed
constexpr double threshold_band = 5;  // what a healthy ear hears in a band in silence [dB]: assumed flat
constexpr BandLevels nothing = [] {
  BandLevels bands{};
  bands.fill(-300);
  return bands;
}();

BandLevels sum(const BandLevels& a, const BandLevels& b) {
  BandLevels both;
  for (int i = 0; i < band_count; ++i) both[i] = add_levels(a[i], b[i]);
  return both;
}

BandLevels shifted(BandLevels bands, double by) {
  for (double& band : bands) band += by;
  return bands;
}

}  // namespace

std::string_view word(HeardWord heard) { return words[static_cast<int>(heard)]; }

HeardWord parse_heard_word(std::string_view text) {
  for (int i = 0; i < 4; ++i)
    if (words[i] == text) return static_cast<HeardWord>(i);
  throw Error("", "\"" + std::string(text) + "\" is not a word for a hiss", "write silent, faint, clear or loud");
}

HeardWord word_for(double above) {
  return above < faint_from   ? HeardWord::silent
         : above < clear_from ? HeardWord::faint
         : above < loud_from  ? HeardWord::clear
                              : HeardWord::loud;
}

const EarTool& find_ear_tool(std::string_view name) {
  for (const EarTool& tool : ear_tools)
    if (tool.name == name) return tool;
  throw Error("", "\"" + std::string(name) + "\" is not a way to listen", "write ear, tube or stethoscope");
}

double audibility(const BandLevels& signal, const BandLevels& noise) {
  double sum = 0;
  for (int i = 0; i < band_count; ++i) {
    const double ratio = from_level(signal[i] - noise[i]);
    sum += ratio * ratio;
  }
  return 0.5 * to_level(sum);
}

double band_at(double power, double f, const SoundPath& path) {
  const double octaves = std::max(0.0, std::log2(f / 500.0)), r = path.distance;
  return power - 10.0 * std::log10(4.0 * std::numbers::pi * r * r) - path.loss - path.muffling * octaves;
}

BandLevels room_noise_bands(double level) {
  BandLevels bands;
  for (int i = 0; i < band_count; ++i) bands[i] = -3.0 * std::max(0.0, std::log2(band_centre(i) / 250.0));
  return shifted(bands, level - a_weighted_level(bands));
}

std::vector<HeardPoint> hear(const std::vector<SoundSource>& sources, const Listening& listening, const EarTool& tool,
                             double extra_room_noise) {
  std::vector<HeardPoint> points;
  for (const ListeningPoint& at : listening.points) {
    HeardPoint point;
    point.name = at.name;
    point.bands = nothing;
    point.room = shifted(room_noise_bands(at.room_noise + extra_room_noise), -tool.isolation);
    for (double& band : point.room) band = add_levels(band, threshold_band);

    std::vector<BandLevels> each;
    for (const SoundSource& source : sources) {
      BandLevels bands = nothing;
      if (const SoundPath* path = listening.find_path(source.name, source.access, at.name))
        for (int i = 0; i < band_count; ++i)
          bands[i] = band_at(source.power[i], band_centre(i), *path) + tool.gain - wet_loss * source.wetness;
      point.bands = sum(point.bands, bands);
      each.push_back(bands);
    }
    for (std::size_t s = 0; s < sources.size(); ++s) {
      BandLevels others = point.room;
      for (std::size_t o = 0; o < sources.size(); ++o)
        if (o != s) others = sum(others, each[o]);
      HeardSource heard{sources[s].name, a_weighted_level(each[s]), audibility(each[s], others), HeardWord::silent,
                        false,           sources[s].wetness > 0.3};
      heard.heard = word_for(heard.audibility);
      heard.masked = heard.heard == HeardWord::silent && word_for(audibility(each[s], point.room)) != HeardWord::silent;
      point.sources.push_back(std::move(heard));
    }
    point.level = a_weighted_level(point.bands);
    point.audibility = audibility(point.bands, point.room);
    point.heard = word_for(point.audibility);
    double loudest = -200;
    for (std::size_t s = 0; s < sources.size(); ++s)
      if (point.sources[s].level > loudest) loudest = point.sources[s].level, point.wetness = sources[s].wetness;
    std::stable_sort(point.sources.begin(), point.sources.end(),
                     [](const HeardSource& a, const HeardSource& b) { return a.level > b.level; });
    points.push_back(std::move(point));
  }
  return points;
}

}  // namespace railseep
