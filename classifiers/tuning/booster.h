// Gradient-boosted trees by XGBoost's C interface, one thread, so that the same rows and seed give the same
// trees.
//
// Errors of the library: std::runtime_error with its message. Not thread-safe.
#pragma once

#include <memory>
#include <string>
#include <utility>
#include <vector>

namespace quietpass::tuning {

// Row-major values, rows × columns.
struct Matrix {
    std::size_t rows = 0;
    std::size_t columns = 0;
    std::vector<float> values;
    float at(std::size_t row, std::size_t column) const { return values[row * columns + column]; }
};

// One node of a tree, by index in Tree. A leaf has column < 0 and adds `value`; else rows with value <
// threshold go to `below`, the others to `above`.
struct TreeNode {
    int column = -1;
    double threshold = 0.0;
    int below = -1;
    int above = -1;
    double gain = 0.0;
    double value = 0.0;
};
using Tree = std::vector<TreeNode>;

class Booster {
  public:
    using Settings = std::vector<std::pair<std::string, std::string>>;

    // labels: 0 or 1; weights: > 0; both of length matrix.rows. Logistic loss; margins start at 0.
    Booster(const Matrix& matrix, const std::vector<float>& labels, const std::vector<float>& weights,
            const Settings& settings);
    ~Booster();
    Booster(const Booster&) = delete;
    Booster& operator=(const Booster&) = delete;

    void boost(int rounds);
    std::vector<Tree> trees() const;

    // Log odds of each row.
    std::vector<float> margins(const Matrix& matrix) const;

  private:
    struct Handles;
    std::unique_ptr<Handles> handles_;
    int rounds_ = 0;
};

} // namespace quietpass::tuning
