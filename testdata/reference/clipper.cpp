// Driver for the C++ polygon clipper of Debian (libpolyclipping-dev).
//
//   clipper offset FILE DISTANCE FACET   one offset; prints CPU s, rings, area
//   clipper pocket FILE STEP FACET       offsets inward, each from the last, until nothing is left
//   clipper boolean                      pairs of shapes on standard input, separated by "--" lines;
//                                        prints area of union and intersection for each pair

#include <polyclipping/clipper.hpp>

#include <cmath>

#include "shape.hpp"

using namespace ClipperLib;

// Steps to a millimetre: a tenth of a micrometre for the figures, for more would
// leave the fast 32-bit range; finer for the small shapes of the boolean areas.
static double scale = 1e4;

static Paths toPaths(const std::vector<Ring>& rings) {
  Paths out;
  for (const auto& r : rings) {
    Path p;
    for (const auto& v : r) p.emplace_back(std::llround(v.first * scale), std::llround(v.second * scale));
    out.push_back(p);
  }
  return out;
}

static double area(const Paths& ps) {
  double a = 0;
  for (const auto& p : ps) a += Area(p);
  return a / scale / scale;
}

static Paths offset(const Paths& in, double d, double facet) {
  ClipperOffset co(2.0, facet * scale);
  co.AddPaths(in, jtRound, etClosedPolygon);
  Paths out;
  co.Execute(out, d * scale);
  return out;
}

static Paths both(const Paths& a, const Paths& b, ClipType op) {
  Clipper c;
  c.AddPaths(a, ptSubject, true);
  c.AddPaths(b, ptClip, true);
  Paths out;
  c.Execute(op, out, pftNonZero, pftNonZero);
  return out;
}

int main(int argc, char** argv) {
  std::string op = argc > 1 ? argv[1] : "";
  if (op == "boolean") {
    scale = 1e7;
    std::string line, text;
    std::vector<Paths> shapes;
    auto take = [&] {
      std::istringstream in(text);
      shapes.push_back(toPaths(readShape(in)));
      text.clear();
    };
    while (std::getline(std::cin, line)) {
      if (line == "--")
        take();
      else
        text += line + "\n";
    }
    for (size_t i = 0; i + 1 < shapes.size(); i += 2)
      std::printf("%.12g %.12g\n", area(both(shapes[i], shapes[i + 1], ctUnion)),
                  area(both(shapes[i], shapes[i + 1], ctIntersection)));
    return 0;
  }
  if (argc != 5) {
    std::cerr << "usage: clipper offset|pocket FILE DISTANCE FACET | clipper boolean\n";
    return 2;
  }
  Paths shape = toPaths(readShape(std::string(argv[2])));
  double d = std::atof(argv[3]), facet = std::atof(argv[4]);
  double start = cpu();
  if (op == "offset") {
    Paths out = offset(shape, d, facet);
    std::printf("%.6f %zu %.12g\n", cpu() - start, out.size(), area(out));
  } else if (op == "pocket") {
    size_t rings = 0;
    // Without cleaning the vertices of each pass multiply in the next.
    for (Paths now = offset(shape, -d, facet); !now.empty(); now = offset(now, -d, facet)) {
      CleanPolygons(now, facet / 2 * scale);
      rings += now.size();
    }
    std::printf("%.6f %zu 0\n", cpu() - start, rings);
  } else {
    std::cerr << "unknown operation " << op << "\n";
    return 2;
  }
}
