#include "views.hpp"

namespace railseep::gui {

void draw_job_view(App& app);
void draw_circuit_view(App& app);
void draw_match_view(App& app);
void draw_next_view(App& app);
void draw_air_view(App& app);
void draw_proof_view(App& app);
void draw_settings_view(App& app);

namespace {

constexpr View all[] = {
    {"Job", draw_job_view},
    {"Circuit", draw_circuit_view},
    {"Match", draw_match_view},
    {"Next", draw_next_view},
    {"Air", draw_air_view},
    {"Proof", draw_proof_view},
    {"Settings", draw_settings_view},
};

}  // namespace

std::span<const View> views() { return all; }

void show_view(App& app, std::string_view name) {
  for (int i = 0; i < static_cast<int>(views().size()); ++i)
    if (views()[i].name == name) app.view = i;
}

}  // namespace railseep::gui
