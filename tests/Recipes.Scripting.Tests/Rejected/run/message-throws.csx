// R4001
class Bad
{
    public override string ToString() => throw new InvalidOperationException();
}

throw new ArgumentOutOfRangeException("beak", new Bad(), "no");
