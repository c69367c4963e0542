#include "daemon/reports/pdf/canvas.h"

#include <cairo-pdf.h>
#include <pango/pangocairo.h>

#include <algorithm>

#include "daemon/failure.h"

namespace quietpass {

namespace {

constexpr const char* kSans = "DejaVu Sans";
constexpr const char* kMono = "DejaVu Sans Mono";

template <auto kFree>
struct FreedBy {
    template <typename Thing>
    void operator()(Thing* thing) const {
        kFree(thing);
    }
};
using Surface = std::unique_ptr<cairo_surface_t, FreedBy<cairo_surface_destroy>>;
using Cairo = std::unique_ptr<cairo_t, FreedBy<cairo_destroy>>;
using Layout = std::unique_ptr<PangoLayout, FreedBy<g_object_unref>>;
using Font = std::unique_ptr<PangoFontDescription, FreedBy<pango_font_description_free>>;
using Attributes = std::unique_ptr<PangoAttrList, FreedBy<pango_attr_list_unref>>;
using FontOptions = std::unique_ptr<cairo_font_options_t, FreedBy<cairo_font_options_destroy>>;

cairo_status_t append(void* bytes, const unsigned char* data, unsigned int size) {
    static_cast<std::string*>(bytes)->append(reinterpret_cast<const char*>(data), size);
    return CAIRO_STATUS_SUCCESS;
}

PangoAlignment alignment_of(Align align) {
    switch (align) {
        case Align::kRight:
            return PANGO_ALIGN_RIGHT;
        case Align::kCentre:
            return PANGO_ALIGN_CENTER;
        case Align::kLeft:
            break;
    }
    return PANGO_ALIGN_LEFT;
}

// A name that is no UTF-8 must not cost the page.
std::string valid_utf8(const std::string& text) {
    char* valid = g_utf8_make_valid(text.data(), static_cast<gssize>(text.size()));
    std::string out(valid);
    g_free(valid);
    return out;
}

void check(cairo_status_t status) {
    if (status == CAIRO_STATUS_SUCCESS) return;
    throw Failure(kExitFailure,
                  std::string("report: the page can't be drawn: ") + cairo_status_to_string(status));
}

} // namespace

struct Canvas::Parts {
    PaperSize size;
    std::string bytes; // cairo writes into it; must outlive the surface
    Surface surface;
    Cairo cairo;
    Layout layout;
    bool measuring = false;
    double scale = 1.0;
    int page = 1;

    void set(const std::string& text, const TextStyle& style, double width) {
        const Font font(pango_font_description_new());
        pango_font_description_set_family_static(font.get(), style.mono ? kMono : kSans);
        pango_font_description_set_weight(font.get(), style.bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
        pango_font_description_set_size(font.get(), static_cast<int>(style.size_pt * PANGO_SCALE));
        pango_layout_set_font_description(layout.get(), font.get());
        pango_layout_set_width(layout.get(), width > 0.0 ? static_cast<int>(width * PANGO_SCALE) : -1);
        pango_layout_set_wrap(layout.get(), PANGO_WRAP_WORD_CHAR);
        pango_layout_set_alignment(layout.get(), alignment_of(style.align));
        pango_layout_set_height(layout.get(), style.most_lines > 0 ? -style.most_lines : -1'000'000);
        pango_layout_set_ellipsize(layout.get(),
                                   style.most_lines > 0 ? PANGO_ELLIPSIZE_END : PANGO_ELLIPSIZE_NONE);
        pango_layout_set_text(layout.get(), valid_utf8(text).c_str(), -1);
    }

    void set_grey(double grey) { cairo_set_source_rgb(cairo.get(), grey, grey, grey); }
};

Canvas::Canvas(Paper paper, const PdfFacts& facts) : parts_(std::make_unique<Parts>()) {
    Parts& parts = *parts_;
    parts.size = size_of(paper);
    parts.surface.reset(
        cairo_pdf_surface_create_for_stream(append, &parts.bytes, parts.size.width_pt, parts.size.height_pt));
    cairo_surface_t* surface = parts.surface.get();
    check(cairo_surface_status(surface));
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, valid_utf8(facts.title).c_str());
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_SUBJECT, valid_utf8(facts.subject).c_str());
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, valid_utf8(facts.creator).c_str());
    // Without these cairo would write the time of day, and the same report would have other bytes each time.
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, valid_utf8(facts.date).c_str());
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_MOD_DATE, valid_utf8(facts.date).c_str());
    parts.cairo.reset(cairo_create(surface));
    parts.layout.reset(pango_cairo_create_layout(parts.cairo.get()));
    PangoContext* context = pango_layout_get_context(parts.layout.get());
    pango_cairo_context_set_resolution(context, 72.0); // a point of the font is a point of the page
    pango_context_set_round_glyph_positions(context, FALSE);
    const FontOptions options(cairo_font_options_create());
    cairo_font_options_set_hint_style(options.get(), CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options.get(), CAIRO_HINT_METRICS_OFF);
    pango_cairo_context_set_font_options(context, options.get());
    const Attributes attributes(pango_attr_list_new());
    // Ligatures would come out of the page as other letters than went in.
    pango_attr_list_insert(attributes.get(), pango_attr_font_features_new("liga=0, dlig=0"));
    // Nor may a word that is broken get a hyphen that it does not have.
    pango_attr_list_insert(attributes.get(), pango_attr_insert_hyphens_new(FALSE));
    pango_layout_set_attributes(parts.layout.get(), attributes.get());
}

Canvas::~Canvas() = default;

void Canvas::set_scale(double scale) {
    parts_->scale = scale;
    cairo_identity_matrix(parts_->cairo.get());
    cairo_scale(parts_->cairo.get(), scale, scale);
}

double Canvas::width_pt() const {
    return parts_->size.width_pt / parts_->scale;
}

double Canvas::height_pt() const {
    return parts_->size.height_pt / parts_->scale;
}

void Canvas::set_measuring(bool measuring) {
    parts_->measuring = measuring;
}

void Canvas::first_page_again() {
    parts_->page = 1;
}

bool Canvas::measuring() const {
    return parts_->measuring;
}

void Canvas::next_page() {
    ++parts_->page;
    if (!parts_->measuring) cairo_show_page(parts_->cairo.get());
}

int Canvas::page() const {
    return parts_->page;
}

double Canvas::text(double x, double y, double width, const std::string& text, const TextStyle& style) {
    if (text.empty()) return 0.0;
    parts_->set(text, style, width);
    int height = 0;
    pango_layout_get_size(parts_->layout.get(), nullptr, &height);
    if (!parts_->measuring) {
        parts_->set_grey(style.grey);
        cairo_move_to(parts_->cairo.get(), x, y);
        pango_cairo_show_layout(parts_->cairo.get(), parts_->layout.get());
    }
    return static_cast<double>(height) / PANGO_SCALE;
}

double Canvas::text_width(const std::string& text, const TextStyle& style) const {
    parts_->set(text, style, 0.0);
    int width = 0;
    pango_layout_get_size(parts_->layout.get(), &width, nullptr);
    return static_cast<double>(width) / PANGO_SCALE;
}

void Canvas::line(double x1, double y1, double x2, double y2, double thick, double grey,
                  const std::vector<double>& dashes) {
    if (parts_->measuring) return;
    cairo_t* cairo = parts_->cairo.get();
    parts_->set_grey(grey);
    cairo_set_line_width(cairo, thick);
    cairo_set_dash(cairo, dashes.data(), static_cast<int>(dashes.size()), 0.0);
    cairo_new_path(cairo);
    cairo_move_to(cairo, x1, y1);
    cairo_line_to(cairo, x2, y2);
    cairo_stroke(cairo);
    cairo_set_dash(cairo, nullptr, 0, 0.0);
}

void Canvas::box(double x, double y, double width, double height, double fill_grey) {
    if (parts_->measuring) return;
    parts_->set_grey(fill_grey);
    cairo_new_path(parts_->cairo.get());
    cairo_rectangle(parts_->cairo.get(), x, y, width, height);
    cairo_fill(parts_->cairo.get());
}

void Canvas::frame(double x, double y, double width, double height, double thick) {
    if (parts_->measuring) return;
    parts_->set_grey(0.0);
    cairo_set_line_width(parts_->cairo.get(), thick);
    cairo_new_path(parts_->cairo.get());
    cairo_rectangle(parts_->cairo.get(), x, y, width, height);
    cairo_stroke(parts_->cairo.get());
}

void Canvas::disc(double x, double y, double radius, bool filled) {
    if (parts_->measuring) return;
    cairo_t* cairo = parts_->cairo.get();
    constexpr double kFullTurn = 6.283185307179586;
    cairo_new_path(cairo); // text leaves a point behind, which the arc would be joined to
    cairo_arc(cairo, x, y, radius, 0.0, kFullTurn);
    parts_->set_grey(filled ? 0.0 : 1.0);
    cairo_fill_preserve(cairo);
    parts_->set_grey(0.0);
    cairo_set_line_width(cairo, 0.8);
    cairo_stroke(cairo);
}

void Canvas::square(double x, double y, double half, double fill_grey) {
    box(x - half, y - half, 2.0 * half, 2.0 * half, fill_grey);
    frame(x - half, y - half, 2.0 * half, 2.0 * half);
}

std::string Canvas::finish() {
    parts_->layout.reset();
    parts_->cairo.reset();
    cairo_surface_finish(parts_->surface.get());
    check(cairo_surface_status(parts_->surface.get()));
    return std::move(parts_->bytes);
}

} // namespace quietpass
