#pragma once
/// RODAS4: linearly implicit, six stages, order 4 with an embedded solution of order 3, stiffly
/// accurate, with a dense output of order 3. For C y' = f(t, y) with J = df/dy, f_t = df/dt:
///
///     (C/(g h) - J) U_i = f(t + alpha_i h, y + sum_j a_ij U_j) + C sum_j c_ij U_j / h + gamma_i h f_t
///     y1 = y + sum_j a_5j U_j + U_5 + U_6,    error = U_6
///     y(t + s h) = y (1-s) + s (y1 + (1-s) (sum_j d2_j U_j + s sum_j d3_j U_j))
///
/// E. Hairer, G. Wanner, "Solving Ordinary Differential Equations II", 2nd ed., Springer 1996,
/// section IV.7 and VI.4 (the set of coefficients called RODAS), from memory: the order and the
/// identities of the set are held by tests/network/rodas.cpp.
namespace voltsill::rodas {

inline constexpr int stages = 6;
inline constexpr double g = 0.25;
inline constexpr double alpha[stages] = {0.0, 0.386, 0.21, 0.63, 1.0, 1.0};
inline constexpr double gamma[stages] = {0.25, -0.1043, 0.1035, -0.03620000000000023, 0.0, 0.0};
inline constexpr double a[stages][stages - 1] = {
    {},
    {1.544},
    {0.9466785280815826, 0.2557011698983284},
    {3.314825187068521, 2.896124015972201, 0.9986419139977817},
    {1.221224509226641, 6.019134481288629, 12.53708332932087, -0.6878860361058950},
    {1.221224509226641, 6.019134481288629, 12.53708332932087, -0.6878860361058950, 1.0},
};
inline constexpr double c[stages][stages - 1] = {
    {},
    {-5.6688},
    {-2.430093356833875, -0.2063599157091915},
    {-0.1073529058151375, -9.594562251023355, -20.47028614809616},
    {7.496443313967647, -10.24680431464352, -33.99990352819905, 11.70890893206160},
    {8.083246795921522, -7.981132988064893, -31.52159432874371, 16.31930543123136, -6.058818238834054},
};
inline constexpr double d2[stages - 1] = {10.12623508344586, -7.487995877610167, -34.80091861555747,
                                          -7.992771707568823, 1.025137723295662};
inline constexpr double d3[stages - 1] = {-0.6762803392806898, 6.087714651680015, 16.43084320892478,
                                          24.76722511418386, -6.594389125716872};

}  // namespace voltsill::rodas
