#pragma once
/// Hints from all readings of one learner together (faults/diagnosis.h), in place of the sheets' hints for one.
///
///     bench, build  --once, in the background-->  dictionary  --readings of one learner-->  question, reading, cause
///
/// The dictionary takes seconds on a large bench and is one for all learners: a mutex lets one of them at it at a
/// time, and who would wait for longer than `hint_patience` gets the sheet's wording, and is told so. So is who
/// asks before it is made, and who asks about a reading that the dictionary has no question for.
///
/// Power is asked for by no hint before gate 2 is passed, nor while a build that was handed in would harm, nor
/// while a fault that is plausible could (`DiagnosisOptions::plausible`).
#include <atomic>
#include <chrono>
#include <functional>
#include <map>
#include <memory>
#include <mutex>
#include <span>
#include <thread>

#include "faults/diagnosis.h"
#include "server/hall_lesson.h"

namespace voltsill::server {

inline constexpr std::chrono::milliseconds hint_patience{1000};

/// What a learner has entered last at a check.
struct EnteredReading {
    const LessonCheck* check = nullptr;
    std::optional<double> value;  ///< nothing: a word, "open" or "drifts"
    bool correct = false;
};

struct Hint {
    std::string words;
    std::string keep_off;       ///< why the power stays off; empty: nothing is known against it
    std::string from_sheet;     ///< why this is the sheet's wording; empty: it comes from the diagnosis
};

/// What a hint is given for.
struct HintAsked {
    const LessonCheck* check = nullptr;
    std::vector<EnteredReading> entered;  ///< of this learner, with that of `check`
    int depth = 1;                        ///< 1 a question, 2 a reading to take, 3 the cause
    bool power = false;                   ///< readings with power may be asked for
    std::string danger;                   ///< why they may not, when something of the learner's says so
};

class HallDiagnosis {
  public:
    /// `lesson` must outlive this; `told` is called from the thread that makes the dictionary, when another tenth is
    /// done and at the end.
    HallDiagnosis(const Lesson& lesson, std::function<void()> told);
    ~HallDiagnosis();  ///< stop()

    /// The dictionary is made from now on. Where nobody begins it, hints are the sheets'.
    void begin();
    /// Ends the making at the next fault; hints are the sheets' from then on.
    void stop();
    /// Share of the work that is done, 0..1; nothing: there is nothing to wait for.
    std::optional<double> waiting_for() const;
    bool is_made() const { return ready_; }

    /// Any thread.
    Hint hint(const HintAsked& asked, std::chrono::milliseconds patience = hint_patience);

  private:
    /// What a diagnosis says, whoever asks.
    struct Said {
        Hints hints;
        std::string contradiction;
        bool known = true;    ///< some fault of the list explains the readings
        bool planned = false; ///< the build as planned explains them best
    };
    void make();
    void find_questions();
    Said diagnosed(const std::vector<Reading>& readings, bool power);
    std::vector<Reading> readings_of(const std::vector<EnteredReading>& entered) const;

    const Lesson& lesson_;
    std::function<void()> told_;
    std::atomic<bool> begun_ = false, stopping_ = false, ready_ = false;
    std::atomic<int> percent_ = 0;

    std::timed_mutex use_;  ///< of all below, once it is ready
    std::unique_ptr<Dictionary> dictionary_;
    std::map<std::string, std::vector<int>> questions_;  ///< by check: what it asks; of several, all answer alike
    std::map<std::string, int> works_;                   ///< by link: "it works"
    std::map<std::string, Said> said_;                   ///< by readings: many learners read the same
    std::thread maker_;
};

}  // namespace voltsill::server
