// R4001
class Bad : Exception
{
    public override string Message => throw new Bad();
}

throw new Bad();
