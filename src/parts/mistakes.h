#pragma once
/// Problems found while records of several files are put together.
#include <string>
#include <vector>

#include "records/reader.h"
#include "records/shape.h"

namespace voltsill {

class Mistakes {
  public:
    /// Excerpts are taken from the sources that are known; they must outlive this object's use.
    void know(const Source& source) { sources_.push_back(&source); }

    void error(const Place& place, std::string code, std::string message, std::string expected = {});
    void warning(const Place& place, std::string code, std::string message, std::string expected = {});
    void unknown_name(const Place& place, std::string code, std::string message, std::string_view name,
                      const std::vector<std::string>& choices, std::string expected = {});
    void conflict(const Place& place, const Place& other, std::string code, std::string message);

    std::size_t count() const { return problems_.size() + static_cast<std::size_t>(left_out_); }
    /// Also says how many were counted only, as Reader does. Leaves this object empty.
    Problems take();

  private:
    void add(Problem problem);
    std::string excerpt(const Place& place) const;

    std::vector<const Source*> sources_;
    Problems problems_;
    int left_out_ = 0;
};

/// The place of a key's value inside a record, or of the record itself.
Place place_of(const Place& record, const FieldPlaces& keys, std::string_view key);

}  // namespace voltsill
