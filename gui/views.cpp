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
    {"Job", "What is known of this engine, step by step", draw_job_view},
    {"Circuit", "Open a leak and watch the curves answer", draw_circuit_view},
    {"Match", "What may be wrong, and how sure that is", draw_match_view},
    {"Next", "What to check next, and what to open", draw_next_view},
    {"Air", "What a shop-air test would let one hear, and what it did", draw_air_view},
    {"Proof", "Logs from before and after a repair", draw_proof_view},
    {"Settings", "Units, size of the text, colours, keys", draw_settings_view},
};

}  // namespace

std::span<const View> views() { return all; }

void show_view(App& app, std::string_view name) {
  for (int i = 0; i < static_cast<int>(views().size()); ++i)
    if (views()[i].name == name) app.view = i;
}

}  // namespace railseep::gui
