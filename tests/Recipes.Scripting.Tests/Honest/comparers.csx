// note: BEAK,sail,Wing | 3 | wing | sail,wing,feather
class ByLength : IComparer<string>
{
    public int Compare(string a, string b) => a.Length.CompareTo(b.Length);
}

record Size(int Length) : IComparable<Size>
{
    public int CompareTo(Size other) => Length.CompareTo(other.Length);
}

string[] words = ["sail", "Wing", "BEAK"];
var sorted = words.OrderBy(word => word, StringComparer.OrdinalIgnoreCase);
int kinds = new[] { "wing", "WING", "sail", "feather" }.Distinct(StringComparer.OrdinalIgnoreCase).Count();
var bySize = new[] { "sail", "feather", "wing" }.OrderBy(word => new Size(word.Length));
Report.Note($"{string.Join(',', sorted)} | {kinds} | {new[] { "feather", "wing" }.Min(new ByLength())} | {string.Join(',', bySize)}");
