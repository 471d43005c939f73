// R2003
struct M
{
    public static int X;
}
