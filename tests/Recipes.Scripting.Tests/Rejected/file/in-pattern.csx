// R2002
object thing = "x";
if (thing is System.IO.Stream stream)
{
    stream.WriteByte(1);
}
