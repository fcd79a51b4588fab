#pragma once
/// How an IBIS file is read: keyword after keyword, each handing the lines below it to one section.
#include <functional>
#include <map>
#include <set>

#include "parts/ibis_lines.h"

namespace voltsill {

/// Rows below a table keyword until the next keyword.
struct IbisRows {
    struct Row {
        double x = 0;
        std::array<std::optional<double>, 3> y;
        int line = 0;
    };
    std::vector<Row> rows;
    std::array<bool, 3> own{};  ///< columns with figures of their own
    bool short_rows = false, good = true;
    int line = 0;
};

class IbisReader {
  public:
    IbisReader(const Source& source, Problems& problems) : lines_(source, problems) {}
    IbisFile read();

  private:
    enum class Section {
        none,
        text,
        component,
        package,
        pins,
        selector,
        model,
        model_spec,
        ramp,
        table,
        waveform,
        unused
    };
    using Slot = std::optional<IbisTable> IbisModel::*;

    // ibis_read.cpp: the file, components, selectors
    void keyword();
    void unused_keyword();
    bool header_keyword();
    bool component_keyword();
    void content();
    void pin_header();
    void pin_row();
    void package_row();
    void selector_row();
    void finish();
    void check_names();

    // ibis_model_read.cpp: models
    bool model_keyword();
    void start_model();
    void model_row();
    void model_spec_row();
    void ramp_row();
    void waveform_row();
    void table_row();
    void end_section();
    void end_table();
    void end_waveform();
    void one_number(std::optional<double>& slot, std::span<const std::string_view> words,
                    std::string_view what);
    void three_numbers(std::optional<IbisTriple>& slot, std::span<const std::string_view> words,
                       std::string_view what);
    IbisModel& model() { return file_.models.back(); }

    IbisLines lines_;
    IbisFile file_;
    Section section_ = Section::none;
    std::string* text_ = nullptr;
    std::vector<std::string> pin_columns_;
    bool in_model_ = false, skipping_ = false;  ///< skipping_: inside a block that is not used as a whole
    std::string skipped_block_;
    std::set<std::string, std::less<>> once_;  ///< keywords seen that stand once in a file or model
    std::map<std::string, int, std::less<>> component_names_, model_names_, selector_names_;
    Slot slot_ = nullptr;
    std::string slot_name_;
    IbisRows rows_;
    IbisWaveform waveform_;
    bool has_v_fixture_ = false, has_r_fixture_ = false;
    bool first_keyword_ = true;
};

/// Contradictions inside a model that has been read.
void check_ibis_model(const IbisModel& model, IbisLines& lines);

}  // namespace voltsill
