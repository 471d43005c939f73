// note: (2, 5) 2 5 swapped 5 2
(int Low, int High) Range(IEnumerable<int> all) => (all.Min(), all.Max());
var range = Range([3, 5, 2]);
var (low, high) = range;
(low, high) = (high, low);
Report.Note($"{range} {range.Low} {range.High} swapped {low} {high}");
