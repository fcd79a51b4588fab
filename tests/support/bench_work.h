#pragma once
/// Work at a bench, played: a fault is drawn by its weight and made, somebody says which links work, and then
/// takes the readings that are asked for until a group of faults that no meter tells apart is found.
///
/// What is read comes from the network of the faulty wiring with every figure drawn from its tolerance
/// (`settle_levels` on what `lower` makes), with noise of a hand meter, not from the dictionary.
#include <random>

#include "faults/diagnosis.h"

namespace voltsill::test {

/// A bench with one fault on the table.
class FaultyTable {
  public:
    FaultyTable(const Bench& bench, const PlacedWiring& build, const Fault& fault, std::mt19937_64& random);
    Reading answer(const Questions& questions, int question);
    /// Of every link that can be driven: whether it works, as somebody sees it.
    std::vector<Reading> symptoms(Questions& questions);

  private:
    struct Volts {
        double volts = 0;
        bool floats = false, solved = true;
    };
    Volts at(int part, int pin, const BenchState& state);
    Volts at_point(const Questions& questions, const ProbePoint& point, const BenchState& state);
    Volts alone(const std::string& rail);
    std::optional<double> along_lead(const Questions& questions, const ProbePoint& a, const ProbePoint& b);
    bool through_a_chip(NetId a, NetId b) const;
    NetId net_at(const Questions& questions, const ProbePoint& point) const;
    bool has_supply(const Partition& partition, Node supply) const;
    int pin_in_place(int part, int pin) const;
    bool arrives(const PinRef& end, bool wanted, const BenchState& state);
    double between(double lo, double hi) { return std::uniform_real_distribution<double>(lo, hi)(random_); }

    const Bench& bench_;
    const PlacedWiring& build_;
    const Fault& fault_;
    FaultyBuild made_;
    Circuit circuit_;
    std::vector<double> values_;
    std::map<std::string, std::pair<DcSolution, State>> solved_;
    std::mt19937_64& random_;
};

enum class Order { best, half_split, random };

struct Game {
    bool found = false;             ///< a group had the share `sure` before the readings ran out
    bool first = false, top_three = false;
    int readings = 0;
    double bits_at_start = 0;       ///< entropy over groups once the symptoms were said
    double outcomes = 0;            ///< of the readings taken, on average: distinct answers the dictionary knows
    bool asked_harmful = false;     ///< power was asked for while a plausible fault could harm
    std::string truth;
    bool silent = false;            ///< every link works with it
};
Game play(const Bench& bench, const PlacedWiring& build, Dictionary& dictionary, int fault, Order order,
          std::mt19937_64& random, int most_readings = 60);

/// By weight, among those that some meter tells from the build as planned; -1: there is none.
int draw_fault(const Dictionary& dictionary, std::mt19937_64& random);

}  // namespace voltsill::test
