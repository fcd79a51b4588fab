/// Classes that are over: counts without names.
#include <algorithm>

#include "store/class_store.h"

namespace voltsill::store {
namespace {

constexpr Seconds day_seconds = 24 * 60 * 60;

int counted(Database& database, const char* statement, std::int64_t class_id) {
    const auto rows = database.rows(statement, {class_id});
    return rows.empty() ? 0 : static_cast<int>(rows[0].integer(0));
}

constexpr const char* passed[gates] = {
    "SELECT count(*) FROM pass JOIN learner ON learner.id = pass.learner WHERE class = ? AND gate = 1",
    "SELECT count(*) FROM pass JOIN learner ON learner.id = pass.learner WHERE class = ? AND gate = 2",
    "SELECT count(*) FROM pass JOIN learner ON learner.id = pass.learner WHERE class = ? AND gate = 3",
    "SELECT count(*) FROM pass JOIN learner ON learner.id = pass.learner WHERE class = ? AND gate = 4"};

}  // namespace

std::vector<History::Item> ClassStore::counted_items(std::int64_t class_id) {
    std::vector<History::Item> out;
    for (const Row& row : database_.rows(
             "SELECT item, sum(entered), sum(correct), sum(hints) FROM ("
             " SELECT item, 1 AS entered, correct, 0 AS hints FROM reading JOIN learner ON learner.id = learner"
             " WHERE class = ?1 UNION ALL"
             " SELECT item, 0, 0, 1 FROM hint JOIN learner ON learner.id = learner WHERE class = ?1)"
             " GROUP BY item ORDER BY item", {class_id}))
        out.push_back({row.text(0), static_cast<int>(row.integer(1)), static_cast<int>(row.integer(2)),
                       static_cast<int>(row.integer(3))});
    return out;
}

std::optional<PhaseMinutes> phase_minutes(const std::string& phase, std::vector<Seconds> spent) {
    if (spent.empty()) return std::nullopt;
    std::ranges::sort(spent);
    const std::size_t half = spent.size() / 2;
    const double middle = spent.size() % 2 ? static_cast<double>(spent[half])
                                           : static_cast<double>(spent[half - 1] + spent[half]) / 2;
    return PhaseMinutes{phase, static_cast<int>(spent.size()), middle / 60};
}

std::vector<PhaseMinutes> ClassStore::minutes_of(std::int64_t class_id) {
    std::vector<PhaseMinutes> out;
    for (const SpentPhase& phase : spent_phases) {
        std::vector<Seconds> spent;
        for (const Row& row : database_.rows(
                 "SELECT seconds FROM spent JOIN learner ON learner.id = spent.learner JOIN pass ON"
                 " pass.learner = learner.id WHERE class = ? AND phase = ? AND gate = ?",
                 {class_id, std::string(phase.id), static_cast<std::int64_t>(phase.gate)}))
            spent.push_back(row.integer(0));
        if (auto minutes = phase_minutes(phase.id, std::move(spent))) out.push_back(std::move(*minutes));
    }
    return out;
}

History ClassStore::counts(const StoredClass& of) {
    History out{.bench = of.bench, .version = of.version, .title = of.title, .day = of.begun - of.begun % day_seconds};
    out.learners = counted(database_, "SELECT count(*) FROM learner WHERE class = ?", of.id);
    for (int gate = 0; gate < gates; ++gate) out.passed[gate] = counted(database_, passed[gate], of.id);
    out.submissions = counted(
        database_, "SELECT count(*) FROM submission JOIN learner ON learner.id = learner WHERE class = ?", of.id);
    out.harmful = counted(
        database_,
        "SELECT count(*) FROM submission JOIN learner ON learner.id = learner WHERE class = ? AND harmful = 1", of.id);
    out.items = counted_items(of.id);
    out.minutes = minutes_of(of.id);
    return out;
}

void ClassStore::keep(const History& h) {
    const auto number = [](int value) { return static_cast<std::int64_t>(value); };
    database_.run("INSERT INTO history (bench, version, title, day, learners, gate1, gate2, gate3, gate4, submissions,"
                  " harmful) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                  {h.bench, h.version, h.title, h.day, number(h.learners), number(h.passed[0]), number(h.passed[1]),
                   number(h.passed[2]), number(h.passed[3]), number(h.submissions), number(h.harmful)});
    const std::int64_t id = database_.last_id();
    for (const History::Item& item : h.items)
        database_.run("INSERT INTO history_item VALUES (?, ?, ?, ?, ?)",
                      {id, item.item, number(item.entered), number(item.correct), number(item.hints)});
    for (const PhaseMinutes& m : h.minutes)
        database_.run("INSERT INTO history_minutes VALUES (?, ?, ?, ?)", {id, m.phase, number(m.learners), m.minutes});
}

void ClassStore::end_class(const StoredClass& over) {
    const History counted = counts(over);
    if (counted.learners > 0) keep(counted);
    database_.run("DELETE FROM class WHERE id = ?", {over.id});
}

int ClassStore::expire(Seconds now, std::int64_t held) {
    int count = 0;
    for (const Row& row : database_.rows(
             "SELECT id, bench, version, title, begun FROM class WHERE keep_until <= ? AND id <> ?", {now, held})) {
        StoredClass over{.id = row.integer(0), .bench = row.text(1), .version = row.text(2), .title = row.text(3),
                         .begun = row.integer(4)};
        end_class(over);
        ++count;
    }
    return count;
}

std::vector<History> ClassStore::history() {
    std::vector<History> out;
    for (const Row& row : database_.rows(
             "SELECT id, bench, version, title, day, learners, gate1, gate2, gate3, gate4, submissions, harmful"
             " FROM history ORDER BY id DESC LIMIT 200")) {
        const auto number = [&](std::size_t column) { return static_cast<int>(row.integer(column)); };
        History h{.bench = row.text(1), .version = row.text(2), .title = row.text(3), .day = row.integer(4),
                  .learners = number(5), .passed = {number(6), number(7), number(8), number(9)},
                  .submissions = number(10), .harmful = number(11)};
        for (const Row& item : database_.rows(
                 "SELECT item, entered, correct, hints FROM history_item WHERE history = ? ORDER BY item",
                 {row.integer(0)}))
            h.items.push_back({item.text(0), static_cast<int>(item.integer(1)), static_cast<int>(item.integer(2)),
                               static_cast<int>(item.integer(3))});
        for (const Row& m :
             database_.rows("SELECT phase, learners, minutes FROM history_minutes WHERE history = ? ORDER BY phase",
                            {row.integer(0)}))
            h.minutes.push_back({m.text(0), static_cast<int>(m.integer(1)), m.real(2)});
        out.push_back(std::move(h));
    }
    return out;
}

}  // namespace voltsill::store
