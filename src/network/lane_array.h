#pragma once
/// An array of lanes, aligned for the widest vector.
#include <algorithm>
#include <cstddef>
#include <new>

namespace voltsill {

class LaneArray {
  public:
    explicit LaneArray(std::size_t size)
        : data_(static_cast<double*>(::operator new (size * sizeof(double), std::align_val_t{64}))) {
        std::fill_n(data_, size, 0.0);
    }
    ~LaneArray() { ::operator delete (data_, std::align_val_t{64}); }
    LaneArray(const LaneArray&) = delete;
    LaneArray& operator=(const LaneArray&) = delete;
    double* data() const { return data_; }

  private:
    double* data_;
};

}  // namespace voltsill
