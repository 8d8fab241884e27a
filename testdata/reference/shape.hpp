// Shapes as text, shared by the reference drivers: one "x y" a line (mm), rings
// separated by an empty line, the outer ring first and then its holes.
#pragma once
#include <sys/resource.h>

#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <iostream>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

using Ring = std::vector<std::pair<double, double>>;

inline std::vector<Ring> readShape(std::istream& in) {
  std::vector<Ring> rings(1);
  std::string line;
  while (std::getline(in, line)) {
    if (line.empty()) {
      if (!rings.back().empty()) rings.emplace_back();
      continue;
    }
    double x, y;
    if (std::sscanf(line.c_str(), "%lf %lf", &x, &y) != 2) {
      std::cerr << "bad line: " << line << "\n";
      std::exit(2);
    }
    rings.back().emplace_back(x, y);
  }
  if (rings.back().empty()) rings.pop_back();
  return rings;
}

inline std::vector<Ring> readShape(const std::string& file) {
  std::ifstream in(file);
  if (!in) {
    std::cerr << "cannot read " << file << "\n";
    std::exit(2);
  }
  return readShape(in);
}

// CPU seconds that this process has used.
inline double cpu() {
  rusage u;
  getrusage(RUSAGE_SELF, &u);
  return u.ru_utime.tv_sec + u.ru_stime.tv_sec + 1e-6 * (u.ru_utime.tv_usec + u.ru_stime.tv_usec);
}
