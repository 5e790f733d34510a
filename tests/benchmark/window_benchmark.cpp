// What the window costs the processor: one frame of each view without the graphics driver's part, at two sizes, and the
// curve behind a slider. The driver's part belongs to the machine; the window's test prints it for the one it runs on.
#include <benchmark/benchmark.h>

#include "../gui_driver.hpp"
#include "views.hpp"

namespace railseep::gui {
namespace {

void draw_frames(benchmark::State& state, int view, ImVec2 size) {
  App app(true);
  start(app, RAILSEEP_SOURCE_DIR "/scenarios/harbour-work-boat/job.json");
  app.acknowledged = {"air test", "coil"};
  app.view = view;
  Driver driver(app, size.x, size.y);
  driver.settle();
  for (auto _ : state) driver.frames(1);
  state.counters["vertices"] = ImGui::GetDrawData()->TotalVtxCount;
}

/// From the moved slider to the finished curve, nothing else going on.
void compute_curve(benchmark::State& state, const char* circuit, double oil_temperature) {
  App app(false);
  start(app, "");
  load_circuit(app, circuit);
  Question question = app.what_if.question;
  question.oil_temperature = oil_temperature;
  question.faults = {{app.circuit->sites.front().name, "hole", 0.0003}};
  for (auto _ : state) {
    question.oil_temperature += 1e-3;
    benchmark::DoNotOptimize(answer(*app.circuit, question));
  }
}

}  // namespace
}  // namespace railseep::gui

int main(int argc, char** argv) {
  using namespace railseep::gui;
  for (int view = 0; view < static_cast<int>(views().size()); ++view)
    for (const ImVec2 size : {ImVec2(1280, 720), ImVec2(2560, 1440)})
      benchmark::RegisterBenchmark(
          ("frame/" + std::string(views()[view].name) + "/" + std::to_string(static_cast<int>(size.x))).c_str(),
          [=](benchmark::State& state) { draw_frames(state, view, size); })
          ->Unit(benchmark::kMillisecond);
  for (const char* circuit : {"models/valley_v8.json", "models/head_rail_v8.json", "models/inline_six.json"})
    for (const double temperature : {293.15, 363.15})
      benchmark::RegisterBenchmark(
          ("curve/" + std::string(circuit) + "/" + std::to_string(static_cast<int>(temperature - 273)) + " degC")
              .c_str(),
          [=](benchmark::State& state) { compute_curve(state, circuit, temperature); })
          ->Unit(benchmark::kMillisecond);
  benchmark::Initialize(&argc, argv);
  benchmark::RunSpecifiedBenchmarks();
  return 0;
}
