// R2003
class ByName : EqualityComparer<string>
{
    public override bool Equals(string a, string b) => a == b;
    public override int GetHashCode(string text) => text.Length;
}
