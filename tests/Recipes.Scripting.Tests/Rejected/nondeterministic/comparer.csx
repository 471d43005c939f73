// R2003
class ByName : IEqualityComparer<string>
{
    public int Asked;

    bool IEqualityComparer<string>.Equals(string a, string b) => Asked++ > 0;
    int IEqualityComparer<string>.GetHashCode(string text) => text.Length;
}
