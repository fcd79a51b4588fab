#pragma once
/// One learner's file while it is read. Ends and parts: learner_ends.cpp; the rest: learner_file.cpp.
#include <array>

#include "teaching/learner_build.h"

namespace voltsill {

class BuildFile {
  public:
    BuildFile(const BuildReader& reader, std::string_view bytes, const std::string& file);
    LearnerBuild run();

  private:
    enum Column { kind_column, from_column, to_column, value_column, note_column, columns_count };
    /// "B 12c", "b12c", "12c" in pieces.
    struct HoleText {
        std::string_view board, row, column;
    };

    Problem& complain(const Spot& spot, const char* code, std::string message, std::string expected = {});
    bool columns();
    const CsvTableCell* cell(const CsvTableRow& row, Column column) const;  ///< null: nothing there
    const CsvTableCell* needed(const CsvTableRow& row, Column column, const char* expected);
    void row(const CsvTableRow& row);
    void wire(const CsvTableRow& row);
    void part(const CsvTableRow& row);
    void reading(const CsvTableRow& row);

    std::optional<WireEnd> end(const CsvTableCell& cell);
    /// Also as the sheets write pins: "U1.4 (2Y)", "U1.20 VCC".
    std::optional<WireEnd> named(const std::string& text);
    static std::optional<HoleText> hole_text(std::string_view text);
    std::optional<Hole> hole_at(const CsvTableCell& cell, const HoleText& text);
    int board_at(const CsvTableCell& cell, const HoleText& text);  ///< -1 after a complaint
    void take_out(int part);
    void put(const CsvTableCell& name, int part, std::size_t dot, const CsvTableCell* to, bool turned);

    bool at_point(const CsvTableCell& cell, LearnerReading& out);
    bool in_state(const CsvTableCell& cell, LearnerReading& out);
    bool shown(const CsvTableCell& cell, LearnerReading& out);

    void join_zeros();
    void crowded_holes();

    const BuildReader& r_;
    CsvTable table_;
    LearnerBuild build_;
    std::array<int, columns_count> at_{};
    bool ground_named_ = false;
};

}  // namespace voltsill
