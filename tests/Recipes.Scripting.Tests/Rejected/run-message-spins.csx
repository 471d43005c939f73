// R4003
class Bad : Exception
{
    public override string Message
    {
        get
        {
            while (true) { }
        }
    }
}

throw new Bad();
