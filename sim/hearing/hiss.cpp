#include "hearing/hiss.hpp"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <random>
#include <unsupported/Eigen/FFT>

namespace railseep {

namespace {

/// Uniform in (0, 1): the standard's own distributions differ between libraries.
double uniform(std::mt19937_64& random) { return (static_cast<double>(random() >> 11) + 0.5) * 0x1p-53; }

/// Slow swelling between 1 and 1 - depth: the product of two beats that never repeat together.
double bubbling(double t, double depth) {
  using std::numbers::pi;
  const double beat =
      0.25 * (1.0 + std::sin(2 * pi * 7.0 * t + 2.0 * std::sin(2 * pi * 1.3 * t))) * (1.0 + std::sin(2 * pi * 3.1 * t));
  return 1.0 - depth * (1.0 - beat);
}

void append(std::string& text, std::uint32_t value, int bytes) {
  for (int i = 0; i < bytes; ++i) text += static_cast<char>(value >> (8 * i) & 0xff);
}

}  // namespace

std::vector<float> hiss(const BandLevels& bands, double duration, std::uint64_t seed, double gurgle) {
  const auto wanted = static_cast<std::size_t>(std::max(1.0, duration * sample_rate));
  std::size_t size = 1;
  while (size < wanted) size *= 2;
  std::mt19937_64 random(seed);

  // A line of a band of level L with n lines has the mean square 10^(L/10)/n, where a sine of amplitude 1 (mean square
  // 1/2) is full scale.
  std::vector<std::complex<double>> lines(size);
  const double spacing = sample_rate / static_cast<double>(size);
  for (int band = 0; band < band_count; ++band) {
    const double edge = std::pow(10.0, 0.05);
    const auto first = static_cast<std::size_t>(std::ceil(band_centre(band) / edge / spacing));
    const auto last = std::min(static_cast<std::size_t>(std::ceil(band_centre(band) * edge / spacing)), size / 2);
    if (first >= last) continue;
    const double mean_square = 0.5 * from_level(bands[band] - full_scale_level) / static_cast<double>(last - first);
    for (std::size_t i = first; i < last; ++i) {
      const double r = std::sqrt(-std::log(uniform(random)) * mean_square),
                   phase = 2 * std::numbers::pi * uniform(random);
      lines[i] = std::polar(static_cast<double>(size) * r / std::numbers::sqrt2, phase);
      lines[size - i] = std::conj(lines[i]);
    }
  }
  std::vector<std::complex<double>> samples;
  Eigen::FFT<double> transform;
  transform.inv(samples, lines);

  std::vector<float> result(wanted);
  for (std::size_t i = 0; i < wanted; ++i)
    result[i] = static_cast<float>(
        std::clamp(samples[i].real() * bubbling(static_cast<double>(i) / sample_rate, gurgle), -1.0, 1.0));
  return result;
}

std::vector<float> hiss_at(const HeardPoint& point, double duration, std::uint64_t seed) {
  std::vector<float> samples = hiss(point.bands, duration, seed, point.wetness);
  const std::vector<float> room = hiss(point.room, duration, seed + 1);
  for (std::size_t i = 0; i < samples.size(); ++i) samples[i] = std::clamp(samples[i] + room[i], -1.0f, 1.0f);
  return samples;
}

std::string wav_text(const std::vector<float>& samples) {
  const auto bytes = static_cast<std::uint32_t>(2 * samples.size()), rate = static_cast<std::uint32_t>(sample_rate);
  std::string text = "RIFF";
  append(text, 36 + bytes, 4);
  text += "WAVEfmt ";
  append(text, 16, 4), append(text, 1, 2), append(text, 1, 2);  // size of this part, plain samples, one channel
  append(text, rate, 4), append(text, 2 * rate, 4), append(text, 2, 2),
      append(text, 16, 2);  // samples and bytes a second, bytes and bits a sample
  text += "data";
  append(text, bytes, 4);
  for (const float sample : samples)
    append(text, static_cast<std::uint32_t>(static_cast<std::int32_t>(std::lround(32767.0f * sample))), 2);
  return text;
}

}  // namespace railseep
