// Driver for the segment Voronoi diagram of Boost.Polygon (libboost-dev).
//
//   boost medial FILE   diagram of the segments of a shape; prints CPU s, vertices, edges
#include <boost/polygon/polygon.hpp>
#include <boost/polygon/voronoi.hpp>
#include <cmath>
#include <cstdint>

#include "shape.hpp"

namespace bp = boost::polygon;
using Point = bp::point_data<int32_t>;
using Segment = bp::segment_data<int32_t>;

int main(int argc, char** argv) {
  if (argc != 3 || std::string(argv[1]) != "medial") {
    std::cerr << "usage: boost medial FILE\n";
    return 2;
  }
  std::vector<Ring> rings = readShape(std::string(argv[2]));
  double start = cpu();
  // Whole numbers of 32 bits are what the diagram is exact for: as fine a step
  // as the shape allows, no finer than a nanometre.
  double reach = 1;
  for (const auto& r : rings)
    for (const auto& v : r) reach = std::max({reach, std::fabs(v.first), std::fabs(v.second)});
  double scale = std::min(1e6, 2e9 / reach);
  std::vector<Segment> segs;
  auto at = [&](const std::pair<double, double>& v) {
    return Point((int32_t)std::llround(v.first * scale), (int32_t)std::llround(v.second * scale));
  };
  for (const auto& r : rings)
    for (size_t i = 0; i < r.size(); i++) {
      Segment s(at(r[i]), at(r[(i + 1) % r.size()]));
      if (s.low() != s.high()) segs.push_back(s);
    }
  bp::voronoi_diagram<double> vd;
  bp::construct_voronoi(segs.begin(), segs.end(), &vd);
  std::printf("%.6f %zu %zu\n", cpu() - start, vd.num_vertices(), vd.num_edges());
}
