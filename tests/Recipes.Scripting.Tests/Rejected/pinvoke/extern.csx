// R2003
class Native
{
    public static extern int F();
}
