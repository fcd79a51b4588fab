#pragma once
/// Names as people write them in readings, looked up on a build. Used inside the room only.
///
/// Offsets in a trouble count from the beginning of the text that was handed over.
#include "faults/readings_file.h"

namespace voltsill {

template <class T>
using Looked = std::expected<T, ReadingTrouble>;

std::unexpected<ReadingTrouble> no_reading(std::string code, std::string message, std::string expected = {},
                                           std::size_t at = 0, std::size_t length = 0,
                                           std::string nearest = {});
/// The same trouble `by` bytes further on.
ReadingTrouble shifted(ReadingTrouble trouble, std::size_t by);
/// Blanks at both ends left out.
std::string_view without_blanks(std::string_view text);
/// Where `part`, a piece of `whole`, begins in it.
inline std::size_t offset_in(std::string_view whole, std::string_view part) {
    return static_cast<std::size_t>(part.data() - whole.data());
}

class ReadingNames {
  public:
    explicit ReadingNames(const Questions& questions);

    /// "U1.13", "U1.Y1", "gauge.ECHO", "ECHO" where only one part has it, "rail usb", "usb", "ground".
    Looked<int> point(std::string_view text) const;
    Looked<int> wire(std::string_view text) const;  ///< "12" or "wire 12": its number
    Looked<int> part(std::string_view text) const;
    Looked<int> link(std::string_view text) const;
    Looked<int> rail(std::string_view text) const;    ///< "rail usb", "usb", "ground", with wires on it: its point
    Looked<int> supply(std::string_view text) const;  ///< a rail that a supply of its own feeds: its point
    /// "controller.D4 high, usb off", "tank echo low", "power off", "at rest".
    Looked<BenchState> state(std::string_view text) const;

    bool is_part(std::string_view text) const;

  private:
    /// What a name in a state may mean.
    struct StateName {
        std::string name;
        int rail = -1, part = -1, pin = -1;
    };
    struct Said {
        std::size_t at = 0, length = 0;
    };

    void add_pins();
    const StateName* longest_at(std::string_view text, std::size_t at) const;
    ReadingTrouble unknown_at(std::string_view text, std::size_t at) const;
    Looked<bool> apply(std::string_view text, const Said& said, std::string_view verb, BenchState& state) const;
    Looked<bool> tell(std::string_view name, const StateName& pin, bool high, BenchState& state) const;
    void take_down(int rail, BenchState& state) const;
    Looked<int> unknown_pin(std::string_view text, std::size_t dot) const;

    const Questions& questions_;
    std::vector<StateName> state_names_;                 ///< longest first
    std::map<std::string, std::vector<int>> bare_pins_;  ///< points by the name of the pin alone
};

}  // namespace voltsill
