// note: puffin=2 sail=1 | none | 2 | b a
var count = new Dictionary<string, int>();
foreach (string word in "puffin sail puffin".Split(' '))
{
    count[word] = count.GetValueOrDefault(word) + 1;
}

string third = count.TryGetValue("beak", out int n) ? $"{n}" : "none";
var byPlace = new Dictionary<(int X, int Y), string> { [(1, 2)] = "a", [(0, 0)] = "b" };
var ordered = new SortedDictionary<int, string> { [2] = "a", [1] = "b" };
Report.Note($"{string.Join(' ', count.Select(pair => $"{pair.Key}={pair.Value}"))} | {third} | {byPlace.Keys.Max(place => place.Y)} | {string.Join(' ', ordered.Values)}");
