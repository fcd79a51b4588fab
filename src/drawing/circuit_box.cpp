/// Channels of packages and parts of unknown kind as rectangles with their pins: signals left to
/// right, rails above, the ground below.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "drawing/circuit_figure.h"

namespace voltsill::drawing {
namespace {

constexpr double pin_step = 20, stub = 10, small = 7;

double up_to_grid(double x) { return std::ceil(x / grid) * grid; }

}  // namespace

class BoxMaker {
  public:
    BoxMaker(FigureMaker& maker, const Element& e)
        : m_(maker),
          e_(e),
          wired_(maker.part(e)),
          channel_(e.channel < 0 ? nullptr : &wired_.type->channels[e.channel]) {}

    void draw() {
        for (const Joint& joint : e_.joints) sort(joint);
        measure();
        m_.use({.items = {box(x0_, y0_, x1_ - x0_, y1_ - y0_, Tone::paper)},
                .leads = {},
                .box = {x0_ - 0.5, y0_ - 0.5, x1_ + 0.5, y1_ + 0.5}});
        signs();
        for (const BoxPin& p : left_) side_lead(p, -1);
        for (const BoxPin& p : right_) side_lead(p, 1);
        const double top = upright(top_, -1), bottom = upright(bottom_, 1);
        title(top, bottom);
    }

  private:
    struct BoxPin {
        Joint joint;
        std::string inside;
        bool negated = false;
        double x = 0, y = 0;
    };

    bool amplifier() const {
        return wired_.type->kind == PartKind::comparator || wired_.type->kind == PartKind::op_amp;
    }

    std::string inside_words(const Joint& joint) const {
        const Pin& pin = wired_.type->pins[joint.pin];
        const std::string name = pin.name.starts_with("/") ? pin.name.substr(1) : pin.name;
        if (!channel_) return name;
        if (amplifier() && joint.way == Joint::Way::in) return joint.pin == channel_->inputs[0] ? "+" : "−";
        if (joint.way == Joint::Way::control) return joint.pin == channel_->direction ? name : "EN";
        if (joint.way == Joint::Way::both) return name;
        if (joint.way == Joint::Way::supply && pin.role != PinRole::ground &&
            wired_.type->supplies.size() != 1)
            return name;
        return {};
    }

    bool is_negated(const Joint& joint) const {
        if (!channel_) return false;
        for (size_t k = 0; k < channel_->enables.size(); ++k)
            if (channel_->enables[k] == joint.pin) return !channel_->enable_high[k];
        return joint.pin == channel_->output && inverts(channel_->logic);
    }

    void sort(const Joint& joint) {
        BoxPin pin{joint, inside_words(joint), is_negated(joint)};
        using Way = Joint::Way;
        if (m_.on_rail(joint)) return top_.push_back(pin);
        if (m_.on_ground(joint)) return bottom_.push_back(pin);
        const bool wire = m_.is_wire(joint);
        bool right = joint.way == Way::out || joint.way == Way::supply || (joint.way == Way::control && wire);
        if (joint.way == Way::both && wire) {
            const int depth = m_.scheme_.depth.at(joint.net);
            right = std::ranges::any_of(e_.joints, [&](const Joint& j) {
                return j.way == Way::both && m_.is_wire(j) &&
                       (m_.scheme_.depth.at(j.net) < depth ||
                        (m_.scheme_.depth.at(j.net) == depth && j.pin < joint.pin));
            });
        }
        (right ? right_ : left_).push_back(pin);
    }

    double half_width(const BoxPin& pin, bool with_rail) const {
        double w = std::max(10.0, text_width(pin.inside, small) / 2 + 3);
        if (with_rail) w = std::max(w, text_width(m_.rail_words(pin.joint.net), 8) / 2 + 4);
        return w;
    }

    /// Gives upright pins their places from the left; answers where the last needs room to.
    double spread(std::vector<BoxPin>& pins, bool rails) {
        double x = 0, before = 0;
        for (size_t k = 0; k < pins.size(); ++k) {
            const bool joined = k > 0 && pins[k].joint.net == pins[k - 1].joint.net;
            const bool last_of_net = k + 1 == pins.size() || pins[k + 1].joint.net != pins[k].joint.net;
            const double half = half_width(pins[k], rails && last_of_net);
            x = k == 0 ? 10 + up_to_grid(text_width(pins[k].inside, small) / 2 > 8 ? 5 : 0)
                       : up_to_grid(x + (joined ? std::max(before, 10.0) : before) + half);
            pins[k].x = x;
            before = half;
        }
        return pins.empty() ? 0 : x + std::max(10.0, text_width(pins.back().inside, small) / 2 + 4);
    }

    void measure() {
        const auto by_net = [](const BoxPin& a, const BoxPin& b) { return a.joint.net < b.joint.net; };
        std::ranges::stable_sort(top_, by_net);
        double names = 0;  // on both sides of the sign in the middle
        for (const auto* side : {&left_, &right_})
            for (const BoxPin& p : *side) names = std::max(names, 2 * text_width(p.inside, small));
        const double rows = static_cast<double>(std::max({left_.size(), right_.size(), size_t{1}}));
        const double width =
            std::ceil(std::max({40.0, names + 30, spread(top_, true), spread(bottom_, false)}) / 10) * 10;
        const auto labelled = [](const BoxPin& p) { return !p.inside.empty(); };
        x0_ = -width / 2, x1_ = width / 2;
        y0_ = std::ranges::any_of(top_, labelled) ? -25 : -15;
        y1_ = 15 + pin_step * (rows - 1) + (std::ranges::any_of(bottom_, labelled) ? 10 : 0);
        for (BoxPin& p : top_) p.x += x0_, p.y = y0_;
        for (BoxPin& p : bottom_) p.x += x0_, p.y = y1_;
        for (size_t k = 0; k < left_.size(); ++k)
            left_[k].x = x0_, left_[k].y = pin_step * static_cast<double>(k);
        for (size_t k = 0; k < right_.size(); ++k)
            right_[k].x = x1_, right_[k].y = pin_step * static_cast<double>(k);
    }

    void number(const BoxPin& p, Point at, Anchor anchor) {
        if (const int n = number_of(wired_, p.joint.pin); n > 0 && std::to_string(n) != p.inside)
            m_.label({.at = at, .text = std::to_string(n), .anchor = anchor, .size = small});
    }

    /// Words inside are part of the symbol: nothing else comes there anyway.
    void inside(const BoxPin& p, Point at, Anchor anchor) {
        if (!p.inside.empty())
            m_.out_.group.items.push_back(Label{.at = at, .text = p.inside, .anchor = anchor, .size = small});
    }

    void side_lead(const BoxPin& p, double s) {
        m_.lead(e_, p.joint, {{p.x, p.y}, {p.x + stub * s, p.y}});
        if (p.negated) m_.out_.group.items.push_back(negation({p.x, p.y}, {s, 0}));
        number(p, {p.x + (p.negated ? 5.5 : 3) * s, p.y - 4}, s < 0 ? Anchor::end : Anchor::start);
        inside(p, {p.x - 3 * s, p.y + 2.5}, s < 0 ? Anchor::start : Anchor::end);
    }

    /// Leads above (s -1) or below; neighbours on one net share a symbol. Answers where they end.
    double upright(const std::vector<BoxPin>& pins, double s) {
        double reach = s < 0 ? y0_ : y1_;
        for (size_t k = 0; k < pins.size(); ++k) {
            const BoxPin& p = pins[k];
            size_t last = k;
            while (last + 1 < pins.size() && pins[last + 1].joint.net == p.joint.net) ++last;
            const double bus = p.y + (last > k ? stub + grid : stub) * s;
            const std::string& net = m_.wiring_.nets[p.joint.net].name;
            Group wires{.title = "net " + net, .data = {{"wire", net}}};
            for (; k <= last; ++k) {
                const BoxPin& q = pins[k];
                draw_upright(q, s);
                if (bus == q.y + stub * s) break;
                wires.items.push_back(line({q.x, q.y + stub * s}, {q.x, bus}));
                if (k > 0 && pins[k - 1].joint.net == q.joint.net)
                    wires.items.push_back(line({pins[k - 1].x, bus}, {q.x, bus}));
                if (q.x != p.x) wires.items.push_back(junction({q.x, bus}));
            }
            k = last;
            if (!wires.items.empty()) {
                m_.out_.solid.push_back({p.x, std::min(p.y, bus), pins[last].x, std::max(p.y, bus)});
                m_.out_.group.items.push_back(std::move(wires));
            }
            m_.hang(pins[last].joint.net, {pins[last].x, bus}, {0, s});
            reach = s < 0 ? std::min(reach, bus) : std::max(reach, bus);
        }
        return reach;
    }

    void draw_upright(const BoxPin& q, double s) {
        const Point end{q.x, q.y + stub * s};
        m_.out_.group.items.push_back(Group{.title = m_.pin_name(e_, q.joint),
                                            .data = {{"pin", m_.pin_name(e_, q.joint)}},
                                            .items = {line({q.x, q.y}, end)}});
        m_.out_.solid.push_back({q.x, std::min(q.y, end.y), q.x, std::max(q.y, end.y)});
        if (q.negated) m_.out_.group.items.push_back(negation({q.x, q.y}, {0, s}));
        number(q, {q.x + (q.negated ? 4 : 2), q.y + (s < 0 ? -3 : 8.5)}, Anchor::start);
        inside(q, {q.x, q.y + (s < 0 ? 9.0 : -4.0)}, Anchor::middle);
    }

    void put(std::vector<Item> items) { std::ranges::move(items, std::back_inserter(m_.out_.group.items)); }

    /// What the element does, in its middle; of its output, beside it.
    void signs() {
        if (!channel_) return;
        auto& items = m_.out_.group.items;
        const PinRole role =
            channel_->output < 0 ? PinRole::passive : wired_.type->pins[channel_->output].role;
        if (amplifier()) {
            items.push_back(amplifier_sign({-4, 1}, true));
            items.push_back(Label{.at = {1, 4}, .text = "∞", .size = 9});
        } else {
            const bool bus = role == PinRole::three_state && channel_->logic != ChannelLogic::auto_push_pull;
            items.push_back(Label{.at = {bus ? -4.0 : 0, 3.5},
                                  .text = std::string(qualifying_sign(channel_->logic)),
                                  .anchor = Anchor::middle,
                                  .size = 9});
            if (bus) {
                const bool to_right = right_.empty() || right_[0].joint.pin == channel_->output;
                items.push_back(amplifier_sign({4, 0.5}, to_right));
            }
            if (wired_.type->pins[channel_->inputs[0]].schmitt)
                items.push_back(hysteresis_sign({x0_ + 8, 0}));
        }
        const bool plain = channel_->logic != ChannelLogic::auto_push_pull;
        for (const auto* side : {&left_, &right_})
            for (const BoxPin& p : *side) {
                if (p.joint.pin != channel_->output || !p.inside.empty()) continue;
                const Point at{p.x + (side == &left_ ? 6 : -6), p.y};
                if (role == PinRole::open_drain) put(open_drain_sign(at));
                if (role == PinRole::three_state && plain) items.push_back(three_state_sign(at));
            }
    }

    /// Beside the upper leads when it is short; else below everything.
    void title(double, double bottom) {
        const std::string name = channel_ ? unit_name(wired_, e_.channel) : wired_.name;
        std::vector<FigureMaker::Words> lines{{fitted(name, 100, 8.5, true), 8.5, true}};
        const auto type = lines_of(wired_.type->name, 100, 8);
        for (const std::string& l : type) lines.push_back({l});
        if (type.size() < 2) {
            const double x =
                top_.empty() ? x0_
                             : top_.back().x + 10 + (number_of(wired_, top_.back().joint.pin) > 0 ? 4 : 0);
            m_.words(lines, {x, y0_ - 4}, Anchor::start, true);
        } else {
            m_.words(lines, {x0_, bottom + (bottom_.empty() ? 11 : 27)}, Anchor::start);
        }
    }

    FigureMaker& m_;
    const Element& e_;
    const WiredPart& wired_;
    const Channel* channel_;
    std::vector<BoxPin> left_, right_, top_, bottom_;
    double x0_ = 0, x1_ = 0, y0_ = 0, y1_ = 0;
};

void FigureMaker::box(const Element& e) { BoxMaker(*this, e).draw(); }

}  // namespace voltsill::drawing
