#pragma once
/// J x = b for the nodal equations of a block: dense LU with partial pivoting on the stack for
/// the usual small block, sparse LU for the large. Both from Eigen.
#include <Eigen/LU>
#include <Eigen/SparseLU>
#include <vector>

namespace voltsill {

inline constexpr int dense_limit = 64;

class DenseSystem {
  public:
    using Vector = Eigen::Matrix<double, Eigen::Dynamic, 1, Eigen::ColMajor, dense_limit, 1>;
    using Matrix =
        Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::ColMajor, dense_limit, dense_limit>;
    explicit DenseSystem(int size) : matrix_(size, size) {}
    void clear() { matrix_.setZero(); }
    void add(int row, int column, double value) { matrix_(row, column) += value; }
    bool factorize() {
        lu_.compute(matrix_);
        return true;
    }
    Vector solve(const Vector& b) const { return lu_.solve(b); }
    const Matrix& matrix() const { return matrix_; }

  private:
    Matrix matrix_;
    Eigen::PartialPivLU<Matrix> lu_;
};

class SparseSystem {
  public:
    using Vector = Eigen::VectorXd;
    explicit SparseSystem(int size) : matrix_(size, size) {}
    void clear() { entries_.clear(); }
    void add(int row, int column, double value) { entries_.emplace_back(row, column, value); }
    bool factorize() {
        matrix_.setFromTriplets(entries_.begin(), entries_.end());
        lu_.compute(matrix_);
        return lu_.info() == Eigen::Success;
    }
    Vector solve(const Vector& b) const { return lu_.solve(b); }
    Vector solve_transposed(const Vector& b) { return lu_.transpose().solve(b); }

  private:
    std::vector<Eigen::Triplet<double>> entries_;
    Eigen::SparseMatrix<double> matrix_;
    Eigen::SparseLU<Eigen::SparseMatrix<double>> lu_;
};

}  // namespace voltsill
