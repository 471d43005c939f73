// note: BEAK,sail,Wing | 2 | wing
class ByLength : IComparer<string>, IEqualityComparer<string>
{
    public int Compare(string a, string b) => a.Length.CompareTo(b.Length);
    public bool Equals(string a, string b) => a.Length == b.Length;
    public int GetHashCode(string text) => text.Length;
}

string[] words = ["sail", "Wing", "BEAK"];
var sorted = words.OrderBy(word => word, StringComparer.OrdinalIgnoreCase);
int kinds = new[] { "wing", "sail", "feather" }.Distinct(new ByLength()).Count();
Report.Note($"{string.Join(',', sorted)} | {kinds} | {new[] { "feather", "wing" }.Min(new ByLength())}");
