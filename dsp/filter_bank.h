// Band energies of a power spectrum: mel triangles or (third-)octave bands.
//
// in: [bins] powers. out: [count()] powers, each the weighted sum of its bins. Allocates in the makers only.
// process() is const: one bank may serve several threads.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace quietpass::dsp {

struct BandEdges {
    double low_hz = 0.0;
    double centre_hz = 0.0;
    double high_hz = 0.0;
};

class FilterBank {
  public:
    // Triangles of peak 1, evenly spaced in mel = 2595·log10(1 + f/700) (O'Shaughnessy 1987) from low_hz to
    // high_hz.
    static FilterBank mel(std::size_t bins, double bin_hz, std::size_t count, double low_hz, double high_hz);

    // Fractional-octave bands of IEC 61260-1, base ten, exact edges; a bin counts by the share of it that
    // lies within the band. `per_octave` 1 or 3. The bands whose centres lie within low_hz … high_hz.
    static FilterBank octave(std::size_t bins, double bin_hz, int per_octave, double low_hz, double high_hz);

    std::size_t count() const noexcept { return edges_.size(); }
    const BandEdges& edges(std::size_t band) const noexcept { return edges_[band]; }

    void process(std::span<const float> power, std::span<float> bands) const noexcept;

  private:
    struct Band {
        std::size_t first_bin;
        std::size_t bin_count;
        std::size_t first_weight;
    };
    void add(const BandEdges& edges, std::size_t first_bin, std::span<const float> weights);

    std::vector<BandEdges> edges_;
    std::vector<Band> bands_;
    std::vector<float> weights_;
};

// Exact edges of the base-ten fractional-octave band `index` steps from 1 kHz (IEC 61260-1).
BandEdges octave_band(int index, int per_octave);

} // namespace quietpass::dsp
