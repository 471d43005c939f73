using System.Globalization;
using System.IO.Compression;
using System.Reflection;
using Recipes.Decoders;
using Recipes.Jail;
using Recipes.Problems;
using Recipes.Protocol;

// Decodes many files in one confined process, as one worker does one: recipes-fuzz HOST CPU MEMORY. The answer has a byte for
// each file: 1 while it is at it, then 2 decoded, 3 refused with exit code 3, 4 anything else. So the host sees where it died.
if (args is not [var host, var cpu, var memory])
{
    return 2;
}

Lockdown.Begin(int.Parse(host, CultureInfo.InvariantCulture));
Preload.Assemblies(Assembly.GetExecutingAssembly());
using (var deflate = new ZLibStream(Stream.Null, CompressionLevel.Fastest))
{
    deflate.WriteByte(1);
}

Parallel.For(0, 4, _ => { });
ArtDecoder.PrepareConversion();
Lockdown.Enter(long.Parse(cpu, CultureInfo.InvariantCulture), long.Parse(memory, CultureInfo.InvariantCulture));
if (Lockdown.TakeJob() is not var (request, _, answer))
{
    return 0;
}

int count = 0;
while (request.Position < request.Length)
{
    byte[] file = Frame.Read(request, Frame.Bytes, int.MaxValue);
    answer.WriteByte(1);
    byte outcome;
    try
    {
        outcome = ArtDecoder.Decode(file, "harbor-run").Pixels.Tiles.Length > 0 ? (byte)2 : (byte)4;
    }
    catch (ProblemException e)
    {
        outcome = e.Problems.All(problem => problem.Code.Exit == ExitCode.Art) ? (byte)3 : (byte)4;
    }

    answer.Position--;
    answer.WriteByte(outcome);
    count++;
}

Lockdown.Answered(count);
Thread.Sleep(Timeout.Infinite);
return 0;
