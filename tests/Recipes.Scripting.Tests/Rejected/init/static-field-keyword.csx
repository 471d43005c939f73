// R2003
class M
{
    public static int X { get => field; set => field = value; }
}
