#include "app.hpp"

#include "circuit/circuit_file.hpp"
#include "data_files.hpp"

namespace railseep::gui {

void start(App& app, const std::string& job) { load_circuit(app, job.empty() ? "models/valley_v8.json" : job); }

bool load_circuit(App& app, const std::string& file) {
  return attempt(app, [&] {
    auto circuit = std::make_shared<const Circuit>(read_circuit(data_file(file)));
    app.circuit = circuit;
    app.circuit_file = file;
    Question& question = app.what_if.question;
    question.oil = circuit->oil;
    question.faults.clear();
    app.what_if.now = app.what_if.before = app.what_if.pinned = nullptr;
    app.what_if.asked.reset();
    app.what_if.place.clear();
  });
}

}  // namespace railseep::gui
