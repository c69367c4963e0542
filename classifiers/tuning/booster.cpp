#include "classifiers/tuning/booster.h"

#include <xgboost/c_api.h>

#include <limits>
#include <nlohmann/json.hpp>
#include <stdexcept>

namespace quietpass::tuning {
namespace {

void check(int result) {
    if (result == 0) return;
    // The library adds a stack trace to its message; the first line says it.
    const std::string message = XGBGetLastError();
    throw std::runtime_error("training library: " + message.substr(0, message.find('\n')));
}

DMatrixHandle matrix_handle(const Matrix& matrix) {
    DMatrixHandle handle = nullptr;
    check(XGDMatrixCreateFromMat(matrix.values.data(), matrix.rows, matrix.columns,
                                 std::numeric_limits<float>::quiet_NaN(), &handle));
    return handle;
}

int add_node(const nlohmann::json& node, Tree& tree) {
    const int index = static_cast<int>(tree.size());
    tree.emplace_back();
    if (node.contains("leaf")) {
        tree.back().value = node["leaf"].get<double>();
        return index;
    }
    TreeNode out;
    out.column = std::stoi(node["split"].get<std::string>().substr(1));
    // Columns of whole numbers are split by whole numbers.
    out.threshold = node["split_condition"].get<double>();
    out.gain = node.value("gain", 0.0);
    const int yes = node["yes"].get<int>();
    for (const nlohmann::json& child : node["children"]) {
        const int at = add_node(child, tree);
        (child["nodeid"].get<int>() == yes ? out.below : out.above) = at;
    }
    tree[static_cast<std::size_t>(index)] = out;
    return index;
}

} // namespace

struct Booster::Handles {
    DMatrixHandle matrix = nullptr;
    BoosterHandle booster = nullptr;
    ~Handles() {
        if (booster != nullptr) XGBoosterFree(booster);
        if (matrix != nullptr) XGDMatrixFree(matrix);
    }
};

Booster::Booster(const Matrix& matrix, const std::vector<float>& labels, const std::vector<float>& weights,
                 const Settings& settings)
    : handles_(std::make_unique<Handles>()) {
    handles_->matrix = matrix_handle(matrix);
    check(XGDMatrixSetFloatInfo(handles_->matrix, "label", labels.data(), labels.size()));
    check(XGDMatrixSetFloatInfo(handles_->matrix, "weight", weights.data(), weights.size()));
    check(XGBoosterCreate(&handles_->matrix, 1, &handles_->booster));
    const Settings always = {{"objective", "binary:logistic"},
                             {"base_score", "0.5"},
                             {"nthread", "1"},
                             {"verbosity", "0"},
                             {"booster", "gbtree"}};
    for (const auto& [name, value] : always)
        check(XGBoosterSetParam(handles_->booster, name.c_str(), value.c_str()));
    for (const auto& [name, value] : settings) {
        check(XGBoosterSetParam(handles_->booster, name.c_str(), value.c_str()));
    }
}

Booster::~Booster() = default;

void Booster::boost(int rounds) {
    for (int i = 0; i < rounds; ++i)
        check(XGBoosterUpdateOneIter(handles_->booster, rounds_++, handles_->matrix));
}

std::vector<Tree> Booster::trees() const {
    bst_ulong count = 0;
    const char** dumps = nullptr;
    check(XGBoosterDumpModelEx(handles_->booster, "", 1, "json", &count, &dumps));
    std::vector<Tree> trees(count);
    for (bst_ulong i = 0; i < count; ++i) add_node(nlohmann::json::parse(dumps[i]), trees[i]);
    return trees;
}

std::vector<float> Booster::margins(const Matrix& matrix) const {
    DMatrixHandle handle = matrix_handle(matrix);
    bst_ulong count = 0;
    const float* values = nullptr;
    const int result = XGBoosterPredict(handles_->booster, handle, 1, 0, 0, &count, &values);
    std::vector<float> out;
    if (result == 0) out.assign(values, values + count);
    XGDMatrixFree(handle);
    check(result);
    return out;
}

} // namespace quietpass::tuning
