// note: puffin:3 sail:1 | 14 | beak
var words = new List<string> { "puffin", "sail", "puffin", "beak", "puffin" };
var counted =
    from word in words
    where word != "beak"
    group word by word into same
    orderby same.Count() descending, same.Key
    select $"{same.Key}:{same.Count()}";
int squares = Enumerable.Range(1, 3).Select(n => n * n).Aggregate(0, (sum, n) => sum + n);
var last = words.Where(word => word.Length == 4).OrderBy(word => word, StringComparer.Ordinal).First();
Report.Note($"{string.Join(" ", counted)} | {squares} | {last}");
