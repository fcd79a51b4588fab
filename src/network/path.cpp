#include <algorithm>
#include <cmath>

#include "network/transient.h"

namespace voltsill {
namespace {

constexpr std::size_t numbers = 4;  // y0, y1, c2, c3, see rodas.h

}  // namespace

void Path::clear(int probes) {
    probes_ = probes;
    start_.clear();
    length_.clear();
    numbers_.clear();
    strengths_.clear();
}

std::span<double> Path::add(double start, double length) {
    start_.push_back(start);
    length_.push_back(length);
    numbers_.resize(numbers_.size() + numbers * static_cast<std::size_t>(probes_));
    return std::span(numbers_).last(numbers * static_cast<std::size_t>(probes_));
}

double Path::within(int probe, int piece, double s) const {
    const double* p = numbers_.data() + (static_cast<std::size_t>(piece) * probes_ + probe) * numbers;
    const double r = 1.0 - s;
    return p[0] * r + s * (p[1] + r * (p[2] + s * p[3]));
}

double Path::bulge(int probe, int piece) const {
    const double* p = numbers_.data() + (static_cast<std::size_t>(piece) * probes_ + probe) * numbers;
    return 0.25 * (std::abs(p[2]) + std::abs(p[3]));  // s (1-s) <= 1/4
}

double Path::strength(int arm, int piece, double share) const {
    const std::size_t arms = strengths_.size() / 2 / length_.size();
    const double* p = strengths_.data() + 2 * (piece * arms + arm);
    return p[0] + share * (p[1] - p[0]);
}

double Path::at(int probe, double seconds) const {
    if (length_.empty()) return 0.0;
    const auto next = std::upper_bound(start_.begin() + 1, start_.end(), seconds);
    const int piece = static_cast<int>(next - start_.begin()) - 1;
    return within(probe, piece, std::clamp((seconds - start_[piece]) / length_[piece], 0.0, 1.0));
}

}  // namespace voltsill
