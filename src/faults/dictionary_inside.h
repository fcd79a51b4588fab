#pragma once
/// What a dictionary holds. Used by dictionary*.cpp only.
#include <map>
#include <set>

#include "faults/dictionary.h"
#include "faults/harm.h"
#include "faults/symptoms.h"
#include "judging/power_off.h"

namespace voltsill {

/// Ω of two contacts and the leads of a meter (common practice).
inline constexpr ResistanceWindow contacts{0, 0.2, 1};

struct DictionaryMemory {
    std::vector<std::unique_ptr<ReadingMemory>> of_thread;
    int solved() const {
        int sum = 0;
        for (const auto& memory : of_thread) sum += memory->solved;
        return sum;
    }
};

struct Dictionary::Inside {
    /// All readings while certain rails are off.
    struct Pattern {
        std::unique_ptr<PlannedBuild> planned;
        std::unique_ptr<FaultReadings> good;
        std::vector<std::shared_ptr<FaultReadings>> of_fault;  ///< faults that make the same nets share one
        std::vector<std::vector<int>> faults_at;  ///< by pin: faults that move it
    };
    using Others = std::vector<std::pair<int, Prediction>>;

    Inside(const Bench& bench, const PlacedWiring& build, std::vector<Fault> faults, DictionaryOptions options);

    // Solving
    Pattern& pattern(const std::vector<std::string>& down);
    void solve(Pattern& p);
    void index(Pattern& p);
    /// Readings that know of this state, which may have been named after they were made.
    const FaultReadings& good_for(Pattern& p, int state);
    const FaultReadings& fault_for(Pattern& p, int fault, int state);
    const FaultReadings* joint(Pattern& p, int pair_first, int pair_second, int state);

    // Answers
    static MeterReading reading_with(const FaultReadings& good, const FaultReadings& fault, int pin, int state);
    MeterReading read_pin(Pattern& p, int fault, int pin, int state);
    Prediction volts(Pattern& p, const FaultReadings& good, const FaultReadings* fault, const ProbePoint& at,
                     int state);
    Prediction ohms(Pattern& p, const FaultReadings& good, const FaultReadings* fault, const Question& q,
                    const Hypothesis& faulty);
    int place(const Pattern& p, const FaultReadings& with, const ProbePoint& at) const;
    int rail_number(const std::string& name) const;  ///< -1: no such rail
    static bool concerns_lead(const Fault& fault, const ProbePoint& post);
    /// Between which places of the made wiring a meter stands; nothing: anywhere.
    std::optional<std::array<ProbePoint, 2>> as_made(const Pattern& p, const std::array<ProbePoint, 2>& at,
                                                     const FaultReadings* fault, const Hypothesis& faulty) const;
    ProbePoint ground_behind(const Pattern& p, const FaultReadings& fault) const;
    Prediction seen(const Question& q, int fault) const;
    bool concerns(const Question& look, const Fault& fault) const;
    Prediction behaves(const Question& q, int fault);
    /// The judge finds more current or power in this part than it stands, or its supply the wrong way round.
    bool overloads(Pattern& p, int fault, int part);
    FaultJudge& fault_judge();
    Prediction on_scope(const Question& q, int fault);
    Prediction of_supply(const std::string& rail, int fault) const;
    Prediction answer(int question, int fault);
    Prediction answer_pair(int question, const Hypothesis& pair);
    std::vector<int> concerned(const Question& q);
    const Others& others(int question);
    const Dictionary::Answers& answers(int question);
    void find_worth_asking();
    void find_alike();

    const Bench& bench;
    const PlacedWiring& build;
    std::vector<Fault> faults;
    DictionaryOptions options;
    Questions questions;
    std::shared_ptr<DictionaryMemory> memory;
    int solved_before = 0;
    bool cancelled = false;
    std::vector<Hypothesis> hypotheses;
    std::map<std::vector<std::string>, Pattern> patterns;
    std::unique_ptr<Symptoms> symptoms;
    std::unique_ptr<FaultJudge> judge;
    std::map<int, bool> harmful;
    std::map<int, std::set<std::string>> overloaded;  ///< by fault: names of parts
    std::map<int, std::map<std::pair<int, int>, std::optional<FaultReadings>>> joints;  ///< by pattern's rails off
    std::map<int, Others> known_others;
    std::map<int, Prediction> known_good;
    std::map<int, Dictionary::Answers> known_answers;
    std::vector<int> worth;
    std::vector<int> group;
};

}  // namespace voltsill
