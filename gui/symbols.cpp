#include "symbols.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace railseep::gui {

float Pen::thickness() const { return std::max(1.3f, 0.05f * unit_); }

void Pen::line(float x1, float y1, float x2, float y2) const {
  draw_->AddLine(at(x1, y1), at(x2, y2), ink_, thickness());
}

void Pen::circle(float x, float y, float radius) const {
  draw_->AddCircleFilled(at(x, y), radius * unit_, paper_, 28);
  draw_->AddCircle(at(x, y), radius * unit_, ink_, 28, thickness());
}

void Pen::disc(float x, float y, float radius) const { draw_->AddCircleFilled(at(x, y), radius * unit_, ink_, 16); }

void Pen::box(float x1, float y1, float x2, float y2) const {
  const ImVec2 corners[] = {at(x1, y1), at(x2, y1), at(x2, y2), at(x1, y2)};
  draw_->AddConvexPolyFilled(corners, 4, paper_);
  draw_->AddPolyline(corners, 4, ink_, ImDrawFlags_Closed, thickness());
}

void Pen::arrow_head(float x, float y, float dx, float dy, float size) const {
  const float length = std::hypot(dx, dy), ux = dx / length * size, uy = dy / length * size;
  draw_->AddTriangleFilled(at(x, y), at(x - ux - 0.5f * uy, y - uy + 0.5f * ux),
                           at(x - ux + 0.5f * uy, y - uy - 0.5f * ux), ink_);
}

void Pen::arc(float x, float y, float radius, float from, float to) const {
  ImVec2 points[13];
  for (int i = 0; i <= 12; ++i) {
    const float angle = from + (to - from) * static_cast<float>(i) / 12;
    points[i] = at(x + radius * std::cos(angle), y + radius * std::sin(angle));
  }
  draw_->AddPolyline(points, 13, ink_, 0, thickness());
}

namespace {

constexpr float pi = std::numbers::pi_v<float>;

/// Fixed displacement pump, one direction of flow: circle, filled triangle outwards, shaft.
void draw_pump(const Pen& pen) {
  pen.circle(0, 0, 0.62f);
  pen.arrow_head(0, 0.62f, 0, 1, 0.42f);
  pen.line(-0.62f, 0, -1.0f, 0), pen.line(-0.62f, 0.1f, -1.0f, 0.1f);
}

/// Check valve: a ball in a seat that opens along the flow.
void draw_check(const Pen& pen, bool spring) {
  pen.circle(0, 0, 0.22f);
  pen.line(0, -0.32f, 0.38f, 0.12f), pen.line(0, -0.32f, -0.38f, 0.12f);
  if (!spring) return;
  for (int i = 0; i < 4; ++i) {
    const float y = 0.24f + 0.12f * static_cast<float>(i), side = i % 2 == 0 ? 0.16f : -0.16f;
    pen.line(-side, y, side, y + 0.12f);
  }
}

/// Pressure relief valve with proportional solenoid: box, arrow aside, pilot line, coil with an arrow through it.
void draw_regulator(const Pen& pen) {
  pen.box(-0.5f, -0.5f, 0.5f, 0.5f);
  pen.line(0.16f, -0.5f, 0.16f, 0.4f), pen.arrow_head(0.16f, 0.45f, 0, 1, 0.26f);
  for (int i = 0; i < 3; ++i)
    pen.line(-0.5f, -0.7f - 0.1f * static_cast<float>(i), -0.5f - 0.12f, -0.65f - 0.1f * static_cast<float>(i));
  pen.line(-0.5f, -0.5f, -0.5f, -0.9f), pen.line(-0.5f, -0.9f, 0, -0.9f);  // pilot from the inlet
  pen.box(0.5f, -0.28f, 1.02f, 0.28f);
  pen.line(0.6f, 0.2f, 0.9f, -0.2f);
  pen.line(0.5f, 0.45f, 1.1f, -0.45f), pen.arrow_head(1.1f, -0.45f, 0.6f, -0.9f, 0.2f);  // proportional
}

/// Restriction that feels viscosity: two arcs facing each other.
void draw_throttle(const Pen& pen) {
  pen.arc(0.52f, 0, 0.38f, 0.72f * pi, 1.28f * pi), pen.arc(-0.52f, 0, 0.38f, -0.28f * pi, 0.28f * pi);
}

/// Restriction that does not: two knife edges.
void draw_orifice(const Pen& pen) {
  pen.line(0.42f, -0.2f, 0.14f, 0), pen.line(0.42f, 0.2f, 0.14f, 0), pen.line(-0.42f, -0.2f, -0.14f, 0),
      pen.line(-0.42f, 0.2f, -0.14f, 0);
}

/// Injectors: single-acting cylinder pressed by oil, with the clearance that leaks.
void draw_injector(const Pen& pen) {
  pen.box(-0.34f, -0.55f, 0.34f, 0.55f);
  pen.box(-0.34f, -0.22f, 0.34f, 0.02f);
  pen.line(0, 0.02f, 0, 0.55f);
}

void draw_sensor(const Pen& pen) {
  pen.circle(0, 0, 0.48f);
  pen.line(-0.26f, 0.26f, 0.26f, -0.26f), pen.arrow_head(0.3f, -0.3f, 1, -1, 0.28f);
  pen.line(0.48f, 0, 0.8f, 0), pen.line(0.8f, -0.14f, 0.8f, 0.14f);  // an electrical signal leaves it
}

void draw_screen(const Pen& pen) {
  for (const float side : {-1.0f, 1.0f}) pen.line(0, -0.5f, side * 0.5f, 0), pen.line(side * 0.5f, 0, 0, 0.5f);
  for (int i = 0; i < 3; ++i)
    pen.line(-0.42f + 0.32f * static_cast<float>(i), 0, -0.25f + 0.32f * static_cast<float>(i), 0);
}

}  // namespace

void draw_symbol(std::string_view kind, const Pen& pen) {
  if (kind == "pump" || kind == "lube pump")
    draw_pump(pen);
  else if (kind == "check valve")
    draw_check(pen, true);
  else if (kind == "lifting seal" || kind == "sticking seal")
    draw_check(pen, true);
  else if (kind == "regulator")
    draw_regulator(pen);
  else if (kind == "sensor")
    draw_sensor(pen);
  else if (kind == "injector" || kind == "gap")
    draw_injector(pen);
  else if (kind == "screen")
    draw_screen(pen);
  else if (kind == "hole")
    draw_orifice(pen);
  else if (kind == "passage" || kind == "line")
    return;  // the pipe itself
  else if (kind == "throttle")
    draw_throttle(pen);
  else
    pen.box(-0.4f, -0.3f, 0.4f, 0.3f);
}

void draw_tank(ImDrawList& draw, ImVec2 bottom, float unit, ImU32 ink) {
  const float half = 0.4f * unit, thick = std::max(1.5f, 0.06f * unit);
  const ImVec2 points[] = {{bottom.x - half, bottom.y - 0.4f * unit},
                           {bottom.x - half, bottom.y},
                           {bottom.x + half, bottom.y},
                           {bottom.x + half, bottom.y - 0.4f * unit}};
  draw.AddPolyline(points, 4, ink, 0, thick);
}

}  // namespace railseep::gui
