// R2003
interface ISame : IEquatable<string>
{
    bool IEquatable<string>.Equals(string other) => true;
}

class Wing : ISame;
