#include "drawing/tie_point_sheet.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

namespace voltsill::drawing {
namespace {

// Gaps between columns, units. Strips keep away from the holes for row numbers and lanes.
constexpr double column_pitch = 13, wide_pitch = 15.4, strip_gap = 34, trench = 39, lane = 2.6;
constexpr double below_board = 26;

/// Where the other end of a side pin's wire lies, for sorting.
struct Pull {
    double rows = 0, sides = 0;
    int count = 0;
};

struct SheetMaker {
    const Wiring& wiring;
    const Placement& placement;
    Sheet sheet;
    std::map<std::string, int> header_index = {};
    std::vector<Pull> pulls = {};

    void columns();
    int header_of(const WireEnd& end);
    void collect_headers();
    void add_pin(const WireEnd& end, int wire);
    void order_pins();
    void pull(int header, const WireEnd& other);
    void choose_sides();
    void stack(bool on_left);
    void find_ends();
};

bool here(const WireEnd& end, int board) { return end.kind == WireEnd::Kind::hole && end.hole.board == board; }

void SheetMaker::columns() {
    const BoardKind& kind = *sheet.kind;
    const double pitch = sheet.capsule_width > column_pitch ? wide_pitch : column_pitch;
    double x = 0;
    for (std::size_t c = 0; c < kind.columns.size(); ++c) {
        if (c > 0) {
            const BoardColumn &a = kind.columns[c - 1], &b = kind.columns[c];
            if (a.strip != b.strip)
                x += strip_gap;
            else
                x += !a.strip && a.side != b.side ? trench : pitch;
        }
        sheet.column_x.push_back(x);
    }
    const bool numbers_outside = sheet.kind->columns.empty() || !sheet.kind->columns.front().strip;
    const double margin = numbers_outside ? 24 : 12;
    const double shift = 0.5 * (page_width - x);
    for (double& one : sheet.column_x) one += shift;
    sheet.left = shift - margin;
    sheet.right = shift + x + margin;
    sheet.pitch = std::clamp((page_height - sheet.top - below_board) / std::max(1, kind.rows - 1), 9.4, 12.5);
    sheet.bottom = sheet.top + sheet.pitch * (kind.rows - 1);
}

/// The same for all ends that share a header.
std::string key_of(const WireEnd& end) {
    switch (end.kind) {
        case WireEnd::Kind::hole:
            return fmt::format("b{}", end.hole.board);
        case WireEnd::Kind::pin:
            return fmt::format("p{}", end.part);
        default:
            return "s" + end.rail;
    }
}

int SheetMaker::header_of(const WireEnd& end) {
    const auto [found, fresh] = header_index.emplace(key_of(end), int(sheet.headers.size()));
    if (fresh) {
        SideHeader header;
        if (end.kind == WireEnd::Kind::pin) {
            header.title = wiring.parts[end.part].name;
            header.part = end.part;
        } else if (end.kind == WireEnd::Kind::hole) {
            header.title = "board " + board_letters(end.hole.board);
        } else {
            header.title = "supply " + end.rail;
        }
        sheet.headers.push_back(std::move(header));
        pulls.emplace_back();
    }
    return found->second;
}

int number_in_package(const WiredPart& part, int pin) {
    if (!part.package) return pin + 1;
    const auto& numbers = part.package->pin_of_number;
    return static_cast<int>(std::ranges::find(numbers, pin) - numbers.begin()) + 1;
}

void SheetMaker::add_pin(const WireEnd& end, int wire) {
    SideHeader& header = sheet.headers[header_of(end)];
    SideHeader::Pin pin{.number = {}, .name = {}, .end = end, .wire = wire};
    if (end.kind == WireEnd::Kind::pin) {
        const WiredPart& part = wiring.parts[end.part];
        pin.number = std::to_string(number_in_package(part, end.pin));
        pin.name = part.type->pins[end.pin].name;
    } else if (end.kind == WireEnd::Kind::hole) {
        const BoardKind& kind = *placement.boards[end.hole.board];
        pin.name = std::to_string(end.hole.row) + kind.columns[end.hole.column].name;
    } else {
        pin.name = end.kind == WireEnd::Kind::supply ? "+" : "0 V";
    }
    header.pins.push_back(std::move(pin));
}

void SheetMaker::pull(int header, const WireEnd& other) {
    if (!here(other, sheet.board)) return;
    Pull& p = pulls[header];
    p.rows += other.hole.row;
    p.sides += sheet.column_x[other.hole.column] < page_width / 2 ? -1 : 1;
    ++p.count;
}

/// Pins by number, as on the module; a pin with two wires has two lines.
void SheetMaker::order_pins() {
    for (SideHeader& header : sheet.headers) {
        const auto rank = [](const SideHeader::Pin& pin) {
            const int order = pin.number.empty() ? pin.end.hole.row : std::stoi(pin.number);
            return std::tuple(pin.end.kind != WireEnd::Kind::supply, order, pin.end.hole.column);
        };
        std::ranges::stable_sort(header.pins, {}, rank);
        for (std::size_t k = 1; k < header.pins.size(); ++k)
            header.pins[k].again = header.pins[k].end == header.pins[k - 1].end;
    }
}

void SheetMaker::collect_headers() {
    for (std::size_t w = 0; w < placement.wires.size(); ++w) {
        const LaidWire& wire = placement.wires[w];
        if (!belongs(wire, sheet.board)) continue;
        for (const auto& [end, other] : {std::pair(&wire.from, &wire.to), std::pair(&wire.to, &wire.from)}) {
            if (here(*end, sheet.board)) continue;
            add_pin(*end, int(w));
            pull(header_of(*end), *other);
        }
    }
    // Pins without a wire here are shown too where there is room: they help to count.
    int lines = 0;
    for (const SideHeader& header : sheet.headers)
        lines += 2 + (header.part < 0 ? int(header.pins.size()) : int(wiring.parts[header.part].type->pins.size()));
    if (lines < 1.7 * sheet.kind->rows)
        for (SideHeader& header : sheet.headers)
            for (int pin = 0; header.part >= 0 && pin < int(wiring.parts[header.part].type->pins.size()); ++pin)
                if (std::ranges::none_of(header.pins, [&](const auto& p) { return p.end.pin == pin; }))
                    add_pin({.kind = WireEnd::Kind::pin, .part = header.part, .pin = pin}, -1);
    order_pins();
}

/// Each header goes to the side its wires want, those that want it most first, while there is room.
void SheetMaker::choose_sides() {
    std::vector<int> order(sheet.headers.size());
    for (std::size_t h = 0; h < order.size(); ++h) order[h] = int(h);
    const auto beside = [](const PlacedPart& part) { return !part.on_board() && (part.right || part.down > 0); };
    const bool told = std::ranges::any_of(placement.parts, beside);  // the placement knows where parts lie
    const auto wish = [&](int h) {
        const int part = sheet.headers[h].part;
        if (told && part >= 0) return placement.parts[part].right ? 1.0 : -1.0;
        return pulls[h].count ? pulls[h].sides / pulls[h].count : 0;
    };
    std::ranges::stable_sort(order, std::greater<>{}, [&](int h) { return std::abs(wish(h)); });
    int all = 0, used[2] = {0, 0};
    for (const SideHeader& header : sheet.headers) all += header.lines() + 1;
    const int room = std::max(sheet.kind->rows, (all + 1) / 2 + 4);
    for (const int h : order) {
        SideHeader& header = sheet.headers[h];
        const int lines = header.lines() + 1;
        bool to_left = wish(h) != 0 ? wish(h) < 0 : used[0] <= used[1];
        if (used[to_left ? 0 : 1] + lines > room && used[to_left ? 1 : 0] + lines <= room) to_left = !to_left;
        header.left = to_left;
        used[to_left ? 0 : 1] += lines;
    }
    stack(true);
    stack(false);
}

/// In order of the rows their wires go to, each as near to them as the others allow.
void SheetMaker::stack(bool on_left) {
    std::vector<int> order;
    for (std::size_t h = 0; h < sheet.headers.size(); ++h)
        if (sheet.headers[h].left == on_left) order.push_back(int(h));
    const auto row = [&](int h) { return pulls[h].count ? pulls[h].rows / pulls[h].count : 1e9; };
    std::ranges::stable_sort(order, {}, row);
    int end = 0, all = 0;
    for (const int h : order) all += sheet.headers[h].lines() + 1;
    for (const int h : order) {
        SideHeader& header = sheet.headers[h];
        const int latest = std::max(end, sheet.kind->rows - all);  // those below must fit too
        const int wanted = pulls[h].count ? int(std::lround(row(h))) - header.lines() / 2 - 1 : end;
        header.slot = std::clamp(wanted, end, latest);
        end = header.slot + header.lines() + 1;
        all -= header.lines() + 1;
    }
}

void SheetMaker::find_ends() {
    for (std::size_t w = 0; w < placement.wires.size(); ++w) {
        const LaidWire& wire = placement.wires[w];
        if (!belongs(wire, sheet.board)) continue;
        for (const bool from : {true, false}) {
            const WireEnd& end = from ? wire.from : wire.to;
            if (here(end, sheet.board)) sheet.ends.push_back({int(w), from, sheet.at(end.hole)});
        }
    }
    for (const SideHeader& header : sheet.headers)
        for (std::size_t k = 0; k < header.pins.size(); ++k) {
            const SideHeader::Pin& pin = header.pins[k];
            if (pin.wire < 0) continue;
            const LaidWire& wire = placement.wires[pin.wire];
            const Point at{sheet.header_x(header.left), sheet.line_y(header.slot + 1 + int(k))};
            // A wire from a pin to itself does not exist; from one pin to another it has two lines.
            const bool from = wire.from == pin.end && !here(wire.from, sheet.board);
            sheet.ends.push_back({pin.wire, from, at});
        }
    sheet.height = sheet.bottom + below_board;
    for (const SideHeader& header : sheet.headers)
        sheet.height = std::max(sheet.height, sheet.line_y(header.slot + header.lines()) + 8);
}

}  // namespace

bool belongs(const LaidWire& wire, int board) {
    const bool none = wire.from.kind != WireEnd::Kind::hole && wire.to.kind != WireEnd::Kind::hole;
    return none ? board == 0 : here(wire.from, board) || here(wire.to, board);
}

int Sheet::first_inner() const {
    for (std::size_t c = 0; c < kind->columns.size(); ++c)
        if (!kind->columns[c].strip) return int(c);
    return -1;
}
int Sheet::last_inner() const {
    for (int c = int(kind->columns.size()) - 1; c >= 0; --c)
        if (!kind->columns[c].strip) return c;
    return -1;
}

void Sheet::add_lines(Terrain& terrain) const {
    std::vector<double>&xs = terrain.xs, &ys = terrain.ys;
    // Between two stops (edges of numbers), as many lanes as fit, evenly.
    const auto lanes = [&](double from, double to) {
        const int count = std::max(1, int((to - from) / lane));
        for (int k = 0; k < count; ++k) xs.push_back(from + (to - from) * (k + 0.5) / count);
    };
    const double half = capsule_width / 2;
    lanes(header_x(true) + half + 1, left - 1);
    lanes(right + 1, header_x(false) - half - 1);
    for (const bool on_left : {true, false}) xs.push_back(header_x(on_left));
    for (std::size_t c = 0; c < column_x.size(); ++c) {
        xs.push_back(column_x[c]);
        if (c > 0) lanes(column_x[c - 1] + half, column_x[c] - half);
    }
    const int last = int(std::ceil((height - top) / pitch));
    for (int slot = -1; slot <= last; ++slot) {
        const double y = line_y(slot), gap = pitch - capsule_height;
        ys.push_back(y);
        ys.push_back(y + pitch / 2 - gap / 4);
        ys.push_back(y + pitch / 2 + gap / 4);
    }
    std::ranges::sort(xs);
    std::ranges::sort(ys);
}

Sheet sheet_of(const Wiring& wiring, const Placement& placement, int board) {
    SheetMaker maker{wiring, placement, {.kind = placement.boards[board].get(), .board = board}};
    int most = 0;
    for (const LaidWire& wire : placement.wires)
        if (belongs(wire, board)) most = std::max(most, wire.number);
    if (most > 99) maker.sheet.capsule_width = 15;
    maker.columns();
    maker.collect_headers();
    maker.choose_sides();
    maker.find_ends();
    return std::move(maker.sheet);
}

}  // namespace voltsill::drawing
