// R2003
record Wing(string Name) : IEquatable<string>
{
    bool IEquatable<string>.Equals(string other) => true;
}
