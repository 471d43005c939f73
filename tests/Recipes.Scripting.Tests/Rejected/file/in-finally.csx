// R2002
try
{
    Report.Note("wing");
}
finally
{
    System.IO.File.Delete("/tmp/recipes-canary");
}
