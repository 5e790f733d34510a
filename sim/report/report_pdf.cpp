#include <cairo-pdf.h>
#include <pango/pangocairo.h>

#include <algorithm>
#include <memory>

#include "quantity/error.hpp"
#include "report/report.hpp"

namespace railseep {

namespace {

// A4 in points, 1/72 inch.
constexpr double sheet_width = 595.28, sheet_height = 841.89, margin = 50, text_width = sheet_width - 2 * margin;
constexpr double foot = 24, plot_height = 150, cell_pad = 3;

struct Unref {
  void operator()(PangoLayout* layout) const { g_object_unref(layout); }
  void operator()(PangoFontDescription* font) const { pango_font_description_free(font); }
  void operator()(cairo_t* cairo) const { cairo_destroy(cairo); }
  void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
};
using Layout = std::unique_ptr<PangoLayout, Unref>;

cairo_status_t append(void* text, const unsigned char* bytes, unsigned int count) {
  static_cast<std::string*>(text)->append(reinterpret_cast<const char*>(bytes), count);
  return CAIRO_STATUS_SUCCESS;
}

/// Draws blocks from top to bottom and begins a new sheet where one is full.
class Sheets {
 public:
  Sheets(std::string& out, const Report& report) : title_(report.title) {
    surface_.reset(cairo_pdf_surface_create_for_stream(append, &out, sheet_width, sheet_height));
    cairo_pdf_surface_set_metadata(surface_.get(), CAIRO_PDF_METADATA_TITLE, report.title.c_str());
    // The clock would make two reports of one job differ.
    cairo_pdf_surface_set_metadata(surface_.get(), CAIRO_PDF_METADATA_CREATE_DATE, "");
    cairo_.reset(cairo_create(surface_.get()));
  }

  void text(const std::string& words, double size, bool bold = false, double indent = 0, double space = 3,
            double grey = 0) {
    const Layout layout = laid_out(words, size, bold, text_width - indent);
    const double height = height_of(layout);
    need(std::min(height, sheet_height - 2 * margin - foot));
    show(layout, margin + indent, y_, grey);
    y_ += height + space;
  }

  /// Keeps a heading on the sheet of what follows it.
  void heading(const std::string& words) {
    y_ += 6;
    need(60);
    text(words, 11.5, true);
  }

  void bullet(const std::string& words) {
    const Layout layout = laid_out(words, 10, false, text_width - 14);
    need(height_of(layout));
    show(laid_out("•", 10, false, 20), margin + 3, y_, 0);
    show(layout, margin + 14, y_, 0);
    y_ += height_of(layout) + 2;
  }

  void table(const std::vector<std::vector<std::string>>& rows) {
    const std::vector<double> widths = column_widths(rows);
    for (std::size_t i = 0; i < rows.size(); ++i) table_row(rows[i], widths, i == 0);
    y_ += 6;
  }

  void plot(const ReportPlot& plot) {
    need(plot_height + 30);
    text(plot.title + ": " + plot.y_label + " over " + plot.x_label, 9, true, 0, 4);
    const PlotAxis x(plot.curves, &PlotCurve::x), y(plot.curves, &PlotCurve::y);
    const double left = margin + 40, wide = text_width - 130, top = y_;
    const auto px = [&](double v) { return left + wide * x.share(v); };
    const auto py = [&](double v) { return top + plot_height * (1 - y.share(v)); };
    cairo_set_line_width(cairo_.get(), 0.5);
    for (double v = x.low; v <= x.high + 0.5 * x.step; v += x.step)
      line(px(v), top, px(v), top + plot_height), label(v, px(v) - 6, top + plot_height + 2);
    for (double v = y.low; v <= y.high + 0.5 * y.step; v += y.step)
      line(left, py(v), left + wide, py(v)), label(v, margin + 4, py(v) - 5);
    for (std::size_t i = 0; i < plot.curves.size(); ++i) {
      draw(plot.curves[i], px, py);
      const std::string mark = plot.curves[i].mark == PlotCurve::Mark::dots     ? "o  "
                               : plot.curves[i].mark == PlotCurve::Mark::dashes ? "- -  "
                                                                                : "—  ";
      show(laid_out(mark + plot.curves[i].label, 8.5, false, 90), left + wide + 8, top + 12 * static_cast<double>(i),
           0);
    }
    y_ = top + plot_height + 18;
  }

  /// A new sheet, unless this one is untouched.
  void next_sheet() {
    if (y_ <= margin + 1) return;
    finish_sheet();
    y_ = margin;
  }

  void finish() {
    finish_sheet();
    cairo_surface_finish(surface_.get());
    if (const cairo_status_t status = cairo_surface_status(surface_.get()); status != CAIRO_STATUS_SUCCESS)
      throw Error("report", std::string("the PDF cannot be drawn: ") + cairo_status_to_string(status),
                  "check that there is memory");
  }

  void header(const Letterhead& letterhead) {
    if (!letterhead.mark.empty()) text(letterhead.mark, 16, true, 0, 1);
    if (!letterhead.name.empty()) text(letterhead.name, 11, true, 0, 1);
    if (!letterhead.address.empty()) text(letterhead.address, 9, false, 0, 8, 0.3);
  }

 private:
  Layout laid_out(const std::string& words, double size, bool bold, double width) const {
    Layout layout(pango_cairo_create_layout(cairo_.get()));
    const std::unique_ptr<PangoFontDescription, Unref> font(pango_font_description_from_string("DejaVu Sans"));
    pango_font_description_set_absolute_size(font.get(), size * PANGO_SCALE);
    pango_font_description_set_weight(font.get(), bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
    pango_layout_set_font_description(layout.get(), font.get());
    pango_layout_set_width(layout.get(), static_cast<int>(width * PANGO_SCALE));
    pango_layout_set_wrap(layout.get(), PANGO_WRAP_WORD_CHAR);
    pango_layout_set_text(layout.get(), words.c_str(), static_cast<int>(words.size()));
    return layout;
  }

  static double height_of(const Layout& layout) {
    int width = 0, height = 0;
    pango_layout_get_size(layout.get(), &width, &height);
    return static_cast<double>(height) / PANGO_SCALE;
  }

  void show(const Layout& layout, double x, double y, double grey) {
    cairo_set_source_rgb(cairo_.get(), grey, grey, grey);
    cairo_move_to(cairo_.get(), x, y);
    pango_cairo_show_layout(cairo_.get(), layout.get());
  }

  void line(double x1, double y1, double x2, double y2) {
    cairo_set_source_rgb(cairo_.get(), 0.7, 0.7, 0.7);
    cairo_move_to(cairo_.get(), x1, y1), cairo_line_to(cairo_.get(), x2, y2), cairo_stroke(cairo_.get());
  }

  void label(double value, double x, double y) {
    show(laid_out(format_quantity(std::abs(value) < 1e-9 ? 0 : value, Quantity::ratio, "", 4), 8, false, 50), x, y,
         0.2);
  }

  template <class X, class Y>
  void draw(const PlotCurve& curve, const X& px, const Y& py) {
    cairo_t* cairo = cairo_.get();
    cairo_set_source_rgb(cairo, 0, 0, 0);
    cairo_set_line_width(cairo, 1.2);
    const double dash[] = {4, 3};
    cairo_set_dash(cairo, dash, curve.mark == PlotCurve::Mark::dashes ? 2 : 0, 0);
    cairo_new_path(cairo);
    for (std::size_t k = 0; k < curve.x.size(); ++k) {
      if (curve.mark == PlotCurve::Mark::dots) {
        cairo_new_sub_path(cairo);
        cairo_arc(cairo, px(curve.x[k]), py(curve.y[k]), 2, 0, 6.2832);
      } else {
        cairo_line_to(cairo, px(curve.x[k]), py(curve.y[k]));
      }
    }
    cairo_stroke(cairo);
    cairo_set_dash(cairo, dash, 0, 0);
  }

  /// Columns share the width by what their longest cell holds, within limits.
  static std::vector<double> column_widths(const std::vector<std::vector<std::string>>& rows) {
    std::vector<double> weight(rows.front().size(), 9);  // room for a heading of one word
    for (const std::vector<std::string>& row : rows)
      for (std::size_t k = 0; k < row.size(); ++k)
        weight[k] = std::max(weight[k], std::min<double>(40, static_cast<double>(row[k].size())));
    double sum = 0;
    for (const double w : weight) sum += w;
    for (double& w : weight) w *= text_width / sum;
    return weight;
  }

  void table_row(const std::vector<std::string>& row, const std::vector<double>& widths, bool head) {
    std::vector<Layout> cells;
    double height = 0;
    for (std::size_t k = 0; k < row.size(); ++k) {
      cells.push_back(laid_out(row[k], 8.5, head, widths[k] - 2 * cell_pad));
      height = std::max(height, height_of(cells.back()));
    }
    need(height + 2 * cell_pad);
    double x = margin;
    for (std::size_t k = 0; k < row.size(); ++k) {
      show(cells[k], x + cell_pad, y_ + cell_pad, 0);
      x += widths[k];
    }
    y_ += height + 2 * cell_pad;
    cairo_set_line_width(cairo_.get(), head ? 1 : 0.4);
    line(margin, y_, margin + text_width, y_);
  }

  void need(double height) {
    if (y_ + height > sheet_height - margin - foot) next_sheet();
  }

  void finish_sheet() {
    ++number_;
    show(laid_out(title_ + ", sheet " + std::to_string(number_), 8, false, text_width), margin,
         sheet_height - margin - 8, 0.3);
    cairo_show_page(cairo_.get());
  }

  std::string title_;
  std::unique_ptr<cairo_surface_t, Unref> surface_;
  std::unique_ptr<cairo_t, Unref> cairo_;
  double y_ = margin;
  int number_ = 0;
};

void draw_block(Sheets& sheets, const ReportBlock& block) {
  switch (block.kind) {
    case ReportBlock::Kind::heading:
      return sheets.heading(block.text);
    case ReportBlock::Kind::paragraph:
      return sheets.text(block.text, 10);
    case ReportBlock::Kind::quiet:
      return sheets.text(block.text, 8.5, false, 0, 2, 0.3);
    case ReportBlock::Kind::bullet:
      return sheets.bullet(block.text);
    case ReportBlock::Kind::table:
      return sheets.table(block.rows);
    case ReportBlock::Kind::plot:
      return sheets.plot(*block.plot);
  }
}

}  // namespace

std::string report_pdf(const Report& report) {
  std::string pdf;
  Sheets sheets(pdf, report);
  sheets.header(report.letterhead);
  sheets.text(report.title, 16, true, 0, 2);
  if (!report.date.empty()) sheets.text(report.date, 9, false, 0, 4, 0.3);
  for (const ReportPart& part : report.parts) {
    if (&part != &report.parts.front()) sheets.next_sheet();
    sheets.text(part.title, 13, true, 0, 4);
    for (const ReportBlock& block : part.blocks) draw_block(sheets, block);
  }
  sheets.finish();
  return pdf;
}

}  // namespace railseep
