#include "procedure/start_warm_restart.hpp"

#include <algorithm>
#include <cmath>

namespace railseep {

Story start_warm_restart(const Circuit& circuit, const Condition& condition, const StoryOptions& options) {
  RunOptions run = options.run;
  const double warming = std::max(0.0, (options.warm_to - condition.oil_temperature) / options.warm_rate) + 1;
  run.longest = 2 * options.longest_crank + options.idle_cold + warming + options.idle_hot + options.decay +
                options.rest_time + 2;
  EngineRun engine(circuit, condition, run);
  Story story;
  const auto tell = [&] {
    story.trace = engine.take();
    return story;
  };
  story.first_start = engine.crank(options.longest_crank);
  if (!story.first_start) return tell();
  story.idled_cold = engine.run(options.idle_cold) && engine.run(warming, options.warm_rate, options.warm_to);
  if (!story.idled_cold) return tell();
  story.idled_hot = engine.run(options.idle_hot);
  if (!story.idled_hot) return tell();
  story.hot_idle_pressure = engine.shown();
  story.hot_idle_duty = engine.duty();
  engine.key_off(options.decay);
  engine.stand(options.rest_time);
  const double begin = engine.time();
  story.restart = engine.crank(options.longest_crank);
  tell();
  const std::vector<double>& shown = story.trace.find(signal::shown_pressure).value;
  for (std::size_t i = 0; i < shown.size(); ++i)
    if (story.trace.time[i] >= begin) story.restart_peak = std::max(story.restart_peak, shown[i]);
  return story;
}

}  // namespace railseep
