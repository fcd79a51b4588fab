#pragma once
/// Faults planted on purpose, for a class to find: what no look shows, what harms nothing, and what can be told
/// apart.
///
/// From the faults of a build are taken those that a hand can plant unseen, that the judge finds neither harmful
/// nor unknown and that make something fail; of faults that no meter tells apart one. How hard each is to find
/// is counted, not guessed: the diagnosis is told which links do not work, as the learner sees; then it is asked
/// what to read, gets what the dictionary predicts, and so on until it has found it; the number of readings is the
/// grade.
///
///     grade = readings of the best strategy:  up to 2 easy, 3 or 4 fair, more hard   (our choice)
#include <cstdint>
#include <functional>

#include "faults/diagnosis.h"

namespace voltsill {

enum class Grade { easy, fair, hard };
std::string_view to_word(Grade grade);

/// A reading on the way to the fault.
struct PlantedStep {
    std::string question;       ///< "volts at U1.18 (Y1) in 12e, with gauge.ECHO high"
    std::string reads, planned; ///< "0.00..0.05 V", "3.20..3.36 V"
};

struct PlantedFault {
    Fault fault;
    int hypothesis = -1;      ///< of the dictionary
    std::string plant;        ///< what to do: "put a 10 kΩ in place of R3's 1 kΩ"
    std::string symptom;      ///< of the judge: what fails
    std::string remedy;
    std::vector<PlantedStep> steps;  ///< in the order of the best strategy
    Grade grade = Grade::easy;
};

struct PlantedOptions {
    int seats = 12;
    std::uint64_t seed = 1;
    std::vector<Grade> grades;  ///< only these; empty: all
    std::function<bool(int done, int all)> progress;  ///< of faults looked at; false ends early
};

struct PlantedSet {
    std::vector<PlantedFault> faults;  ///< the answer key, easiest first
    std::vector<int> of_seat;          ///< by seat from 0: index of `faults`; neighbours differ where there are two
    std::string sentence;  ///< "5 different faults for 12 seats: 2 easy, 2 fair, 1 hard."
};

/// How to plant it so that a look at wires and parts does not show it; empty: it cannot be done unseen.
std::string how_to_plant(const Wiring& wiring, const Fault& fault);

/// The same set for the same seed. No faults: the sentence says why. The dictionary gets questions more.
PlantedSet planted_faults(Dictionary& dictionary, const PlantedOptions& options = {});

}  // namespace voltsill
