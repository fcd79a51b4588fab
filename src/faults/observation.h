#pragma once
/// What can be asked of a build on the table, and what an answer is.
///
/// A question is a means (an eye, a meter, a scope, the behaviour somebody saw), a place and a state: which
/// rails are up, and what each driver is told. Its answer is a number, or that the meter drifts, or yes or no.
///
/// Questions are numbered in the order in which they were first asked for; the same question has one number.
/// Reachable with a probe is what has a lead in a hole, a pin on a header, a rail, or a post of a supply. At a
/// post only ohms are asked: along its lead, with the supply off.
#include <map>
#include <optional>
#include <string>
#include <unordered_map>
#include <vector>

#include "faults/fault.h"
#include "judging/settled_levels.h"

namespace voltsill {

enum class Means {
    eye,        ///< is this wire or part as planned? yes: it is
    ohmmeter,   ///< ohms between two points, everything off
    voltmeter,  ///< volts against ground at a point, in a state; or of a supply alone, its wires pulled
    scope,      ///< what only time shows
    behaviour,  ///< what somebody saw the bench do
};
std::string_view to_word(Means means);
std::string_view to_key(Means means);  ///< as in files and JSON: "ohmmeter"
std::optional<Means> means_of(std::string_view key);

/// What people say of a bench that does not work; each is true or not.
enum class Behaviour {
    link_works,          ///< of a link: what its driver says arrives
    works_when_touched,  ///< of a link: a hand near it changes what happens
    analyser_clean,      ///< of a link: it fails, and a logic analyser shows it as it should be
    works_alone,         ///< of a link: it fails only while other parts talk
    slow_only,           ///< of a link: fine slowly, garbage fast
    nothing_works,
    runs_hot,  ///< of a part
};
std::string_view to_word(Behaviour behaviour);  ///< "works when touched"
std::string_view to_key(Behaviour behaviour);
std::optional<Behaviour> behaviour_of(std::string_view key);
/// True: said of a link; of a part for `runs_hot`, of the bench for `nothing_works`.
bool is_of_link(Behaviour behaviour);

/// Where a probe goes.
struct ProbePoint {
    enum class Kind {
        pin,
        rail,
        ground,
        plus,  ///< post of a supply that one lead leaves
        zero,  ///< the same of its 0 V
    } kind = Kind::pin;
    int part = -1, pin = -1;  ///< indices of the wiring; of a rail: the pin on it that is read, -1: it has none
    int lead = -1;            ///< of a post: the number of the wire that leaves it
    std::string rail;
    std::string label;  ///< "U1.18 (Y1)", "gauge.ECHO", "rail usb", "ground", "plus of usb", "0 V of usb"
    std::string place;  ///< "12c", "header of gauge", "at the supply"; empty for what is everywhere

    bool is_post() const { return kind == Kind::plus || kind == Kind::zero; }
};

/// What the bench is told to do while a reading is taken.
struct BenchState {
    bool powered = true;
    std::vector<std::string> down;  ///< rails that are off; all others are up
    std::vector<Told> told;         ///< everybody else rests
};
/// "power off", "all rails up, gauge.ECHO high", "usb off".
std::string words(const BenchState& state);

enum class ScopeSight {
    ripple,     ///< dips of more than a tenth of its supply at a part (yes or no)
    rise_time,  ///< 10 to 90 % at a receiver of a link, s
};

struct Question {
    Means means = Means::voltmeter;
    int state = 0;                 ///< number of a state
    int point = -1, against = -1;  ///< numbers of points; `against` of the ohmmeter's other lead
    Behaviour behaviour{};
    ScopeSight sight{};
    int link = -1, wire = -1, part = -1;  ///< of the bench; number of the placement wire; of the wiring
    bool alone = false;                   ///< voltmeter: of the supply of the rail at `point`, nothing joined to it
    bool around = false;  ///< eye: the part and every wire that ends at its pins; without a part: those of the rail
                          ///< or the ground at `point`
};

/// What came out.
struct Reading {
    enum class Kind {
        value,
        drifts,  ///< a meter that settles on nothing, or moves when touched
        open,    ///< an ohmmeter past its range
        yes,
        no,
    };
    int question = -1;
    Kind kind = Kind::value;
    double value = 0;  ///< V, Ω or s
    double error = 0;  ///< ± of the meter in the same unit; 0: what is usual (`MeterErrors`)
    int sight = -1;    ///< of a look that is not as planned: what was seen (`Questions::sights`); -1: not said
};

/// Whether firmware or a hand can make this pin say high or low.
bool can_be_told(const Pin& pin);

/// Points, states and questions of one build.
class Questions {
  public:
    /// States: 0 is power off, 1 all rails up and nobody told anything, then each link high and low.
    Questions(const Bench& bench, const PlacedWiring& build);

    const std::vector<ProbePoint>& points() const { return points_; }
    const std::vector<BenchState>& states() const { return states_; }
    const std::vector<Question>& all() const { return questions_; }
    static constexpr int power_off = 0, at_rest = 1;
    /// -1: not driven by anything that can be told.
    int state_of_link(int link, bool high) const { return state_of_link_[2 * link + high]; }

    /// By "U1.18", "U1.Y1", "gauge.ECHO", "rail usb", "usb", "ground", "plus of usb"; -1: no such point.
    int point(std::string_view label) const;
    int point_of_pin(int part, int pin) const;  ///< -1: no probe gets there
    /// Of a state as given; the same drivers in another order are the same state.
    int state(BenchState state);

    // The question that asks this; numbered when it is new.
    int volts(int point, int state);
    int supply_alone(int point);  ///< of a rail that a supply of its own feeds
    int ohms(int a, int b);
    int look_at_wire(int wire_number);
    int look_at_part(int part);
    int look_around(int part);
    int look_along(int point);  ///< of a rail, or of the ground
    int behaviour(Behaviour what, int link_or_part = -1);
    int ripple(int part);
    int rise_time(int link, int point);

    /// What looks can show: sights of these faults, beside those it knows.
    void know(std::span<const Fault> faults);
    struct KnownSight {
        int wire = -1, part = -1;  ///< number of the wire, or index of the part
        std::string text;
    };
    const std::vector<KnownSight>& sights() const { return sights_; }
    int sight(int wire, int part, std::string_view text) const;  ///< -1: not known
    /// Whether a look sees this wire or part.
    bool sees(const Question& look, int wire, int part) const;
    /// "in 19t", and of a look at several things "wire 30 in 19t".
    std::string sight_words(const Question& look, int sight) const;
    /// Numbers of the wires that end at pins of a part; those on a rail or the ground, by point.
    const std::vector<int>& wires_around(int part) const { return wires_around_[part]; }
    const std::vector<int>& wires_along(int point) const { return wires_along_[point]; }
    /// Of a look at several things.
    const std::vector<int>& wires_in(const Question& look) const {
        return look.part >= 0 ? wires_around(look.part) : wires_along(look.point);
    }

    /// "volts at U1.18 (Y1) in 12e, with gauge.ECHO high", "is wire 12 as planned?".
    std::string words(int question) const;
    /// What to do, for a learner: "Black lead on ground, red lead on U1.18 (Y1) in 12e, ...".
    std::string how(int question) const;
    /// What to do about what a look found not as planned: "put wire 20 from 7a to receiver.IN".
    std::string put_right(int question, int sight) const;

    const Bench& bench() const { return bench_; }
    const PlacedWiring& build() const { return build_; }

  private:
    void find_points();
    void find_posts();
    void find_states();
    void find_wires_along();
    void find_wires_around();
    int numbered(const Question& question);
    std::string how_to_look(const Question& q) const;

    const Bench& bench_;
    const PlacedWiring& build_;
    std::vector<ProbePoint> points_;
    std::vector<BenchState> states_;
    std::vector<Question> questions_;
    std::vector<int> state_of_link_;
    std::vector<std::vector<int>> point_of_pin_;
    std::unordered_map<std::string, int> number_of_, state_number_;
    std::vector<std::vector<int>> wires_around_, wires_along_;
    std::vector<KnownSight> sights_;
    std::map<std::tuple<int, int, std::string>, int> sight_number_;
};

}  // namespace voltsill
