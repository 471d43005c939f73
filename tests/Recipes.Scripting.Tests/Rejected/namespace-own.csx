// R2003
namespace Wing
{
    class C { }
}
