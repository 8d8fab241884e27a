// Vertices of the segment Voronoi diagram of Boost.Polygon (libboost-dev, Boost
// Software License 1.0), to compare ours with.
//
//   boost_voronoi < cases
//
// Each case is the number of contours, then for each contour its number of
// points and the points as pairs of whole numbers that fit 32 bits. For each
// case the number of vertices comes out and then every vertex, "x y r" a line:
// r is its clearance, the distance to the site of one of its cells.
#include <boost/polygon/voronoi.hpp>
#include <cmath>
#include <cstdio>
#include <vector>

struct Point { int x, y; };
struct Segment { Point a, b; };

namespace boost { namespace polygon {
template <> struct geometry_concept<Point> { typedef point_concept type; };
template <> struct point_traits<Point> {
  typedef int coordinate_type;
  static int get(const Point& p, orientation_2d o) { return o == HORIZONTAL ? p.x : p.y; }
};
template <> struct geometry_concept<Segment> { typedef segment_concept type; };
template <> struct segment_traits<Segment> {
  typedef int coordinate_type;
  typedef Point point_type;
  static Point get(const Segment& s, direction_1d d) { return d.to_int() ? s.b : s.a; }
};
} }

static double across(double ux, double uy, double vx, double vy) {
  return std::fabs(ux * vy - uy * vx) / std::hypot(ux, uy);
}

// clearance is the distance of a vertex from the site of the cell beside it: an
// end of a segment, or the line of one.
static double clearance(const boost::polygon::voronoi_vertex<double>& v, const std::vector<Segment>& segs) {
  const auto* cell = v.incident_edge()->cell();
  const Segment& s = segs[cell->source_index()];
  if (cell->contains_segment())
    return across(double(s.b.x) - s.a.x, double(s.b.y) - s.a.y, v.x() - s.a.x, v.y() - s.a.y);
  const Point& p = cell->source_category() == boost::polygon::SOURCE_CATEGORY_SEGMENT_START_POINT ? s.a : s.b;
  return std::hypot(v.x() - p.x, v.y() - p.y);
}

int main() {
  int contours;
  while (std::scanf("%d", &contours) == 1) {
    std::vector<Segment> segs;
    for (int c = 0; c < contours; c++) {
      int n;
      if (std::scanf("%d", &n) != 1 || n < 1) return 1;
      std::vector<Point> p(n);
      for (auto& q : p)
        if (std::scanf("%d %d", &q.x, &q.y) != 2) return 1;
      for (int i = 0; i < n; i++) segs.push_back(Segment{p[i], p[(i + 1) % n]});
    }
    boost::polygon::voronoi_diagram<double> vd;
    boost::polygon::construct_voronoi(segs.begin(), segs.end(), &vd);
    std::printf("%zu\n", vd.vertices().size());
    for (const auto& v : vd.vertices()) std::printf("%.3f %.3f %.3f\n", v.x(), v.y(), clearance(v, segs));
  }
}
