#pragma once
/// An element of a circuit as a figure: its symbol, its words, and the supplies at its leads, around
/// an origin. What is left open wants wires.
#include "drawing/circuit_scheme.h"
#include "drawing/symbols.h"

namespace voltsill::drawing {

/// Where a wire has to come to, and the way its lead points.
struct OpenLead {
    NetId net = unconnected;
    Point at, facing;
};

struct PartFigure {
    Group group;
    std::vector<OpenLead> leads;
    std::vector<Box> solid;  ///< symbols and words: nothing else may be there
    Box bounds() const;
    void shift(double dx, double dy);
};

/// Builds one figure, piece by piece.
class FigureMaker {
  public:
    FigureMaker(const Bench& bench, const Wiring& wiring, const Scheme& scheme)
        : bench_(bench), wiring_(wiring), scheme_(scheme) {}
    PartFigure make(const Element& element);

  private:
    friend class BoxMaker;
    static constexpr double line_step = 9;
    struct Words {
        std::string text;
        double size = 8;
        bool bold = false, italic = false;
    };
    const WiredPart& part(const Element& e) const { return wiring_.parts[e.part]; }
    bool is_wire(const Joint& joint) const { return scheme_.drawn(joint.net); }
    bool on_ground(const Joint& joint) const { return joint.net >= 0 && wiring_.nets[joint.net].ground; }
    bool on_rail(const Joint& joint) const { return is_supply(wiring_, joint.net) && !on_ground(joint); }
    double volts(NetId net) const;
    std::string rail_words(NetId net) const;

    void end(const Element& e);
    void two_leads(const Element& e, Symbol (*draw)(const Pose&), double half);
    void transistor(const Element& e);
    void opto(const Element& e);
    void box(const Element& e);

    void use(Symbol symbol);
    /// Draws the lead of a joint and what hangs on it; an open one is remembered.
    void lead(const Element& e, const Joint& joint, const SymbolLead& lead);
    void hang(NetId net, Point at, Point facing);
    void rail_at(NetId net, Point at, int quarters);
    void label(Label label);
    /// Lines from the first base line down, or up to the last when `rising`.
    void words(const std::vector<Words>& lines, Point at, Anchor anchor, bool rising = false);
    std::vector<Words> name_and_value(const Element& e, double width) const;
    std::string value_words(const WiredPart& part) const;
    std::string pin_name(const Element& e, const Joint& joint) const;

    const Bench& bench_;
    const Wiring& wiring_;
    const Scheme& scheme_;
    PartFigure out_;
};

/// Words broken into lines no wider than `width`; single words are cut.
std::vector<std::string> lines_of(const std::string& text, double width, double size, bool bold = false);

}  // namespace voltsill::drawing
