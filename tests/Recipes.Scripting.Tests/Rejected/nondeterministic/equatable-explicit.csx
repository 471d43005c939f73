// R2003
struct Wing : IEquatable<Wing>
{
    bool IEquatable<Wing>.Equals(Wing other) => true;
}
