// R2003
class Loose : StringComparer
{
    public override int Compare(string a, string b) => 0;
    public override bool Equals(string a, string b) => true;
    public override int GetHashCode(string text) => 0;
}
