#include "drawn_circuit.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>

namespace voltsill::drawn {
namespace {

using namespace drawing;
constexpr double near = 0.01;

struct Segment {
    Point a, b;
};
bool same(const Point& p, const Point& q) { return std::abs(p.x - q.x) < near && std::abs(p.y - q.y) < near; }
/// On the segment, its ends left out.
bool within(const Segment& s, const Point& p) {
    if (same(s.a, p) || same(s.b, p)) return false;
    const double cross = (s.b.x - s.a.x) * (p.y - s.a.y) - (s.b.y - s.a.y) * (p.x - s.a.x);
    const double dot = (p.x - s.a.x) * (p.x - s.b.x) + (p.y - s.a.y) * (p.y - s.b.y);
    return std::abs(cross) < near && dot < 0;
}

const std::string* value(const Group& g, std::string_view key) {
    for (const auto& [k, v] : g.data)
        if (k == key) return &v;
    return nullptr;
}

struct Reader {
    Circuit out;
    std::vector<Segment> segments;
    std::vector<Point> dots;
    struct End {
        std::vector<int>* into;
        Point at;
    };
    std::vector<End> ends;
    std::vector<int> parent;

    static std::optional<Segment> lead_of(const Group& g) {
        for (const Item& item : g.items)
            if (const auto* p = std::get_if<Path>(&item))
                return Segment{p->steps.front().to, p->steps.back().to};
        return std::nullopt;
    }
    void end(std::vector<int>& into, const Group& g) {
        const auto lead = lead_of(g);
        if (!lead) return out.faults.push_back("a lead without a line");
        segments.push_back(*lead);
        ends.push_back({&into, lead->b});
    }
    void visit(const std::vector<Item>& items) {
        for (const Item& item : items) {
            const auto* g = std::get_if<Group>(&item);
            if (!g) continue;
            if (value(*g, "wire"))
                for (const Item& i : g->items) {
                    if (const auto* p = std::get_if<Path>(&i))
                        segments.push_back({p->steps.front().to, p->steps.back().to});
                    if (const auto* c = std::get_if<Circle>(&i)) dots.push_back(c->centre);
                }
            else if (const auto* pin = value(*g, "pin"); pin && value(*g, "inside") == nullptr)
                end(out.pins[*pin], *g);
            else if (pin)
                end(out.pins["inside " + *pin], *g);
            else if (const auto* of = value(*g, "supply-of"))
                end(out.inside[*of], *g);
            else if (const auto* flag = value(*g, "flag"))
                end(out.flags[*flag], *g);
            else if (value(*g, "ground"))
                end(out.grounds, *g);
            else if (const auto* rail = value(*g, "rail"); rail && !value(*g, "part"))
                end(out.rails[*rail], *g);
            else
                visit(g->items);
        }
    }

    int find(int k) { return parent[size_t(k)] == k ? k : parent[size_t(k)] = find(parent[size_t(k)]); }
    bool dotted(const Point& p) const {
        return std::ranges::any_of(dots, [&](const Point& d) { return same(d, p); });
    }

    void join() {
        parent.resize(segments.size());
        std::iota(parent.begin(), parent.end(), 0);
        const auto unite = [&](size_t i, size_t j) { parent[size_t(find(int(i)))] = find(int(j)); };
        for (size_t i = 0; i < segments.size(); ++i)
            for (const Point& p : {segments[i].a, segments[i].b}) {
                size_t meeting = 0;
                for (size_t j = 0; j < segments.size(); ++j) {
                    if (same(segments[j].a, p) || same(segments[j].b, p)) ++meeting, unite(i, j);
                    if (!within(segments[j], p)) continue;
                    if (dotted(p))
                        unite(i, j);
                    else
                        out.faults.push_back(
                            fmt::format("a line ends on another without a dot at {}, {}", p.x, p.y));
                }
                if (meeting > 2 && !dotted(p))
                    out.faults.push_back(
                        fmt::format("{} lines meet without a dot at {}, {}", meeting, p.x, p.y));
            }
        for (const Point& d : dots) {
            size_t first = segments.size();
            for (size_t j = 0; j < segments.size(); ++j)
                if (same(segments[j].a, d) || same(segments[j].b, d) || within(segments[j], d)) {
                    if (first < segments.size()) unite(first, j);
                    first = j;
                }
        }
    }
    /// Lines of one direction that lie on each other hide what joins what.
    void find_hidden() {
        for (size_t i = 0; i < segments.size(); ++i)
            for (size_t j = i + 1; j < segments.size(); ++j) {
                const Segment &s = segments[i], &t = segments[j];
                const bool level = std::abs(s.a.y - s.b.y) < near, level_too = std::abs(t.a.y - t.b.y) < near;
                if (level != level_too) continue;
                const auto along = [&](const Point& p) { return level ? p.x : p.y; };
                const auto across = [&](const Point& p) { return level ? p.y : p.x; };
                if (std::abs(across(s.a) - across(t.a)) > near) continue;
                const double lo =
                    std::max(std::min(along(s.a), along(s.b)), std::min(along(t.a), along(t.b)));
                const double hi =
                    std::min(std::max(along(s.a), along(s.b)), std::max(along(t.a), along(t.b)));
                if (hi - lo > near)
                    out.faults.push_back(fmt::format("lines lie on each other at {}, {}", s.a.x, s.a.y));
            }
    }
    Circuit done() {
        join();
        find_hidden();
        for (const End& e : ends)
            for (size_t j = 0; j < segments.size(); ++j)
                if (same(segments[j].b, e.at) || same(segments[j].a, e.at)) {
                    e.into->push_back(find(int(j)));
                    break;
                }
        return std::move(out);
    }
};

/// A piece of a drawing that takes space.
struct Piece {
    enum Kind { shape, word, wire } kind;
    int owner;  ///< figure it belongs to
    Box box;
    std::string name;
};

Box box_of_path(const Path& path) {
    Box b{1e9, 1e9, -1e9, -1e9};
    for (const Step& s : path.steps)
        if (s.kind != Step::Kind::close)
            b = {std::min(b.x0, s.to.x), std::min(b.y0, s.to.y), std::max(b.x1, s.to.x),
                 std::max(b.y1, s.to.y)};
    return b;
}

/// `owner` 0: the drawing itself; every group in it gets a number from `figures`.
void gather(const std::vector<Item>& items, int owner, bool wire, const std::string& name, int& figures,
            std::vector<Piece>& out) {
    for (const Item& item : items) {
        if (const auto* p = std::get_if<Path>(&item))
            out.push_back({wire ? Piece::wire : Piece::shape, owner, box_of_path(*p), name});
        if (const auto* c = std::get_if<Circle>(&item); c && !wire)
            out.push_back({Piece::shape,
                           owner,
                           {c->centre.x - c->radius, c->centre.y - c->radius, c->centre.x + c->radius,
                            c->centre.y + c->radius},
                           name});
        if (const auto* l = std::get_if<Label>(&item))
            out.push_back({Piece::word, owner, box_of(*l), l->text});
        if (const auto* g = std::get_if<Group>(&item)) {
            const bool is_wire = wire || value(*g, "wire");
            const int mine = owner == 0 ? ++figures : owner;
            gather(g->items, mine, is_wire, value(*g, "part") ? *value(*g, "part") : name, figures, out);
        }
    }
}

}  // namespace

Circuit read(const Drawing& d) {
    Reader reader;
    reader.visit(d.items);
    return reader.done();
}

std::vector<std::string> overlaps(const Drawing& d) {
    std::vector<Piece> pieces;
    int figures = 0;
    gather(d.items, 0, false, "", figures, pieces);
    std::vector<std::string> out;
    if (d.width > page_width + near) out.push_back(fmt::format("{} units wide", d.width));
    for (const Label* l : labels_of(d))
        if (l->size < smallest_letters)
            out.push_back(fmt::format("\"{}\" is {} units high", l->text, l->size));
    for (size_t i = 0; i < pieces.size(); ++i) {
        const Piece& p = pieces[i];
        if (p.box.x0 < 0 || p.box.y0 < 0 || p.box.x1 > d.width || p.box.y1 > d.height)
            out.push_back(fmt::format("\"{}\" is over the edge", p.name));
        for (size_t j = i + 1; j < pieces.size(); ++j) {
            const Piece& q = pieces[j];
            const bool own = p.owner == q.owner;
            if (p.kind == Piece::wire && q.kind == Piece::wire) continue;
            if (own && (p.kind != Piece::word || q.kind != Piece::word))
                continue;  // a symbol and its own words
            if (p.box.touches(q.box, 0.6))
                out.push_back(fmt::format("\"{}\" and \"{}\" overlap at {:.1f}, {:.1f}", p.name, q.name,
                                          std::max(p.box.x0, q.box.x0), std::max(p.box.y0, q.box.y0)));
        }
    }
    return out;
}

std::multimap<std::string, std::vector<std::string>> words_by(const Drawing& d, const std::string& key) {
    std::multimap<std::string, std::vector<std::string>> out;
    for (const Item& item : d.items)
        if (const auto* g = std::get_if<Group>(&item))
            if (const auto* v = value(*g, key)) {
                Drawing only{.items = g->items};
                std::vector<std::string> words;
                for (const Label* l : labels_of(only)) words.push_back(l->text);
                out.emplace(*v, std::move(words));
            }
    return out;
}

}  // namespace voltsill::drawn
