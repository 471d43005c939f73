// R2003
class M<T>
{
    public static T X;
}
