#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "circuit/listening.hpp"
#include "hearing/bands.hpp"

namespace railseep {

/// What somebody says of a hiss.
enum class HeardWord { silent, faint, clear, loud };
std::string_view word(HeardWord heard);
HeardWord parse_heard_word(std::string_view text);  // @throws Error naming the four

/// The word begins at this much above what masks it [dB]: assumed; by them an ear's word becomes a likelihood.
inline constexpr double faint_from = 0, clear_from = 10, loud_from = 25;
HeardWord word_for(double audibility);

/// How one listens. The gains are assumed.
struct EarTool {
  std::string_view name;
  double gain;       // what comes from the point is so much louder [dB]
  double isolation;  // the room is so much quieter [dB]
};
inline constexpr EarTool ear_tools[] = {{"ear", 0, 0}, {"tube", 6, 12}, {"stethoscope", 8, 20}};
const EarTool& find_ear_tool(std::string_view name);  // @throws Error naming the tools

/// One place that makes a noise.
struct SoundSource {
  std::string name, access;  // of its site or link, and of its access group
  BandLevels power;          // sound power level in each band [dB re 1 pW]
  double wetness = 0;        // 1: oil in the leak, it gurgles and is muffled
};

/// What one source is at one point.
struct HeardSource {
  std::string name;
  double level = 0;       // at the ear, A-weighted [dB]
  double audibility = 0;  // above the room and every other source there [dB]
  HeardWord heard = HeardWord::silent;
  bool masked = false;  // it would be heard, were the others silent
  bool gurgles = false;
};

/// What there is to hear at one point.
struct HeardPoint {
  std::string name;
  BandLevels bands;       // of all sources together, at the ear [dB]
  BandLevels room;        // of the room, at the ear [dB]
  double level = 0;       // of all sources, A-weighted [dB]
  double audibility = 0;  // above the room [dB]
  HeardWord heard = HeardWord::silent;
  double wetness = 0;                // of what dominates
  std::vector<HeardSource> sources;  // loudest first
};

/// How far a signal stands out of a noise [dB]: 5*log10(sum over the bands of (signal/noise)^2).
///
/// Source: energy detection in independent bands, Green & Swets, Signal Detection Theory (1966) (from memory); 0 dB for
/// a signal as strong as the noise in one band of one third of an octave, near the masked threshold of noise in noise.
double audibility(const BandLevels& signal, const BandLevels& noise);

/// Level of one band at the ear: Lp = Lw + 10*log10(1/(4*pi*r^2)) - loss - muffling*octaves above 500 Hz. Source: free
/// field sphere.
double band_at(double power_level, double frequency, const SoundPath& path);

/// Quiet-shop noise: falls by 3 dB an octave above 250 Hz (assumed shape), scaled to its A-weighted level.
BandLevels room_noise_bands(double level);

std::vector<HeardPoint> hear(const std::vector<SoundSource>& sources, const Listening& listening, const EarTool& tool,
                             double extra_room_noise = 0);

}  // namespace railseep
