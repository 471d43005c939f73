// R2003
class M
{
    public static event Action Ring;
    public static void Go() => Ring();
}
