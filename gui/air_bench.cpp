#include "air_bench.hpp"

#include <algorithm>
#include <map>

#include "hearing/hiss.hpp"

namespace railseep::gui {

namespace {

bool has(const std::string& text, const char* word) { return text.find(word) != std::string::npos; }

}  // namespace

AirTestOptions options_of(const AirQuestion& question) {
  AirTestOptions options;
  options.pressure = question.pressure;
  options.purge_time = question.purge_time;
  options.ear = question.ear;
  options.feed = question.feed;
  options.coil_connected = question.coil_connected;
  options.hold_from = 0.9 * question.pressure;
  options.hold_to = 0.5 * question.pressure;
  options.tolerance = 1e-4;
  return options;
}

void ask(AirBench& bench, const std::shared_ptr<const Circuit>& circuit, const std::vector<Fault>& faults,
         Worker& worker) {
  bench.question.faults = {circuit->name};
  for (const Fault& fault : faults) bench.question.faults.push_back(fault_text(fault, *circuit));
  if (bench.asked && *bench.asked == bench.question) return;
  bench.asked = bench.question;
  worker.submit(
      [&bench, circuit, faults, question = bench.question](const Worker::Cancelled&) -> Worker::Deliver {
        auto result =
            std::make_shared<const AirTestResult>(air_test(with_faults(*circuit, faults), options_of(question)));
        return [&bench, result] { bench.result = result, bench.trouble.reset(); };
      },
      [&bench](const Error& error) { bench.trouble = error, bench.result = nullptr; });
}

const AirPass* shown_pass(const AirBench& bench) {
  if (!bench.result) return nullptr;
  return bench.energised && bench.result->shut ? &*bench.result->shut : &bench.result->open;
}

void follow_ear(AirBench& bench, Sound& sound, bool in_sight, Worker& worker) {
  // As many samples as the noise is made of: round and round without a seam.
  constexpr double once_around = 131072 / sample_rate;
  const AirPass* pass = in_sight && bench.listening ? shown_pass(bench) : nullptr;
  const HeardPoint* point = nullptr;
  for (std::size_t i = 0; pass && i < pass->heard.size(); ++i)
    if (pass->heard[i].name == bench.point) point = &pass->heard[i];
  if (!point) {
    if (!bench.heard_at.empty()) worker.cancel(), sound.stop();
    bench.heard_at.clear(), bench.heard = nullptr;
    return;
  }
  sound.set_volume(bench.volume);
  if (bench.heard == bench.result && bench.heard_at == bench.point && bench.heard_energised == bench.energised) return;
  bench.heard = bench.result, bench.heard_at = bench.point, bench.heard_energised = bench.energised;
  worker.submit(
      [&bench, &sound, heard = *point](const Worker::Cancelled&) -> Worker::Deliver {
        sound.open();
        return [&bench, &sound, samples = hiss_at(heard, once_around, 1)] {
          sound.set_volume(bench.volume), sound.play(samples, sample_rate);
        };
      },
      [](const Error&) {});
}

std::vector<SketchPlace> sketch_places(const std::vector<ListeningPoint>& points) {
  // Left, middle and right of the engine by name; where no name says a side, three beside each other.
  std::vector<SketchPlace> places;
  const bool sides = std::any_of(points.begin(), points.end(), [](const ListeningPoint& point) {
    return has(point.name, "left") || has(point.name, "right");
  });
  std::vector<double> columns;
  std::map<double, int> count, placed;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const int side = sides ? (has(points[i].name, "left")    ? 0
                              : has(points[i].name, "right") ? 2
                                                             : 1)
                           : static_cast<int>(i % 3);
    columns.push_back(0.18 + 0.32 * side);
    ++count[columns.back()];
  }
  const int rows = static_cast<int>((points.size() + 2) / 3);  // where no name says a side
  for (const double x : columns) places.push_back({x, (placed[x]++ + 0.5) / (sides ? count[x] : rows)});
  return places;
}

}  // namespace railseep::gui
