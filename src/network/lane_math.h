#pragma once
/// Vectors for the lane kernels. Included only by files compiled once per instruction set, which
/// define VOLTSILL_VECTOR_BYTES; everything here has internal linkage and calls nothing outside, so
/// the linker cannot pick a function of another instruction set for it.
#include "network/batch_tape.h"

namespace voltsill::batch {
namespace {

typedef double Vector __attribute__((vector_size(VOLTSILL_VECTOR_BYTES)));
typedef long long Bits __attribute__((vector_size(VOLTSILL_VECTOR_BYTES)));
/// What the compiler was really told to compile for, so that a test can see it.
#if defined(__AVX512F__)
constexpr const char* compiled_for = "AVX-512";
#elif defined(__AVX2__)
constexpr const char* compiled_for = "AVX2";
#else
constexpr const char* compiled_for = "baseline";
#endif
constexpr int hardware_lanes = VOLTSILL_VECTOR_BYTES / 8;

inline Vector all(double x) { return x - Vector{}; }
inline Vector larger(Vector a, Vector b) { return a > b ? a : b; }
inline Vector smaller(Vector a, Vector b) { return a < b ? a : b; }
inline Vector magnitude(Vector a) { return larger(a, -a); }

/// exp(x) for x <= 0, to 1e-11 of itself, 0 below -708: 2^n times the Taylor sum to r^9, |r| <= ln 2 / 2.
inline Vector exp_not_positive(Vector x) {
    const Vector clamped = larger(x, all(-708.0));
    const Vector magic = all(6755399441055744.0);  // 1.5 * 2^52: rounds to integer in the low bits
    const Vector shifted = clamped * 1.4426950408889634 + magic;
    const Vector n = shifted - magic;
    const Vector r = clamped - n * 0.6931471803691238 - n * 1.9082149292705877e-10;
    Vector p = all(1.0 / 362880);
    p = p * r + 1.0 / 40320;
    p = p * r + 1.0 / 5040;
    p = p * r + 1.0 / 720;
    p = p * r + 1.0 / 120;
    p = p * r + 1.0 / 24;
    p = p * r + 1.0 / 6;
    p = p * r + 0.5;
    p = p * r + 1.0;
    p = p * r + 1.0;
    const Bits scale = ((Bits)shifted + 1023) << 52;
    return p * (Vector)scale;
}

/// x^(-1/4) for x > 0, within 7 %: a quarter of the exponent, read as an integer. For step control.
inline Vector inverse_fourth_root(Vector x) {
    constexpr long long one = 1023LL << 52;
    const Bits bits = one + one / 4 - ((Bits)x >> 2);
    return (Vector)bits;
}

}  // namespace
}  // namespace voltsill::batch
