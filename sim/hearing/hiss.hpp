#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "hearing/hear.hpp"

namespace railseep {

inline constexpr double sample_rate = 44100;     // [1/s]
inline constexpr double full_scale_level = 100;  // a sine at full scale stands for this level at the ear [dB re 20 uPa]

/// Noise with the given level in each one-third octave band, Gaussian, seeded: the same samples on every machine.
///
/// White noise, band-passed where it is a product: every frequency line has the amplitude of its band and a random
/// phase and size, and one inverse Fourier transform makes 2^n samples of it.
/// @param gurgle 0..1: share by which bubbles of oil cut it up, at 7 Hz on average (assumed)
/// @return samples, 1 at full scale; louder ones are cut there
std::vector<float> hiss(const BandLevels& bands, double duration, std::uint64_t seed, double gurgle = 0);

/// What one hears at a point: its leaks in the noise of its room.
std::vector<float> hiss_at(const HeardPoint& point, double duration, std::uint64_t seed);

/// A WAV file: 44-byte header, 16 bit, one channel.
std::string wav_text(const std::vector<float>& samples);

}  // namespace railseep
