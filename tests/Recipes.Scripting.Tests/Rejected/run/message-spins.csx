// R4003
class Bad
{
    public override string ToString()
    {
        while (true) { }
    }
}

throw new ArgumentOutOfRangeException("beak", new Bad(), "no");
