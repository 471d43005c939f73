using System.Buffers.Binary;
using System.Globalization;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Jail;
using Recipes.Problems;
using Recipes.Protocol;

namespace Recipes.Codecs.Tests;

/// <summary>
/// Mutated pictures through the confined decoders: each is a picture or exit code 3, and the host never faults. A hundredth
/// each time; all with RECIPES_FUZZ=all.
/// </summary>
public class JailedFuzzTests
{
    private const int Batch = 500;
    private static readonly string Worker = Path.GetFullPath(Path.Combine(AppContext.BaseDirectory, "../../../../../src/Recipes.Worker/bin", Path.GetFileName(Path.GetDirectoryName(Path.TrimEndingDirectorySeparator(AppContext.BaseDirectory)!)!), "net10.0/recipes-worker.dll"));
    private static readonly bool All = Environment.GetEnvironmentVariable("RECIPES_FUZZ") == "all";

    [Fact]
    public void Many_files_in_one_process_that_is_started_again_where_it_dies()
    {
        NeedsJail();
        int files = All ? 100_000 : 1000, decoded = 0, refused = 0, died = 0;
        byte[][] seeds = Mutation.Seeds();
        for (int first = 0; first < files; first += Batch)
        {
            var batch = Enumerable.Range(first, Batch).Select(i => Mutation.Structured(seeds[i % seeds.Length], new Random(i))).ToList();
            for (int done = 0; done < batch.Count;)
            {
                byte[] outcomes = Decode(batch.Skip(done));
                decoded += outcomes.Count(outcome => outcome == 2);
                refused += outcomes.Count(outcome => outcome == 3);
                outcomes.ShouldNotContain((byte)4);
                int ended = outcomes.Count(outcome => outcome is 2 or 3);
                done += ended;
                if (ended < outcomes.Length)
                {
                    // The file that it died of: in a real worker, R3008.
                    died++;
                    done++;
                }
            }
        }

        (decoded + refused + died).ShouldBe(files);
        decoded.ShouldBeGreaterThan(files / 20);
        refused.ShouldBeGreaterThan(files / 20);
        // Deaths are for what nobody foresaw; a reader that dies of ordinary damage says nothing useful.
        died.ShouldBeLessThan(files / 50);
        TestContext.Current.TestOutputHelper?.WriteLine($"{files} files: {decoded} decoded, {refused} refused, {died} ended the process");
    }

    [Fact]
    public void Some_files_each_in_a_worker_of_its_own()
    {
        NeedsJail();
        int files = All ? 2000 : 20, decoded = 0, refused = 0;
        byte[][] seeds = Mutation.Seeds();
        using var workers = new WorkerPool(new WorkerLimits(TimeSpan.FromSeconds(20), 512), new WorkerProgram(Worker));
        workers.Expect("decode", files);
        for (int i = 0; i < files; i++)
        {
            byte[] file = Mutation.Structured(seeds[i % seeds.Length], new Random(1_000_000 + i));
            try
            {
                _ = new ArtFile("harbor-run.png", file, "").Decode(workers, TestContext.Current.CancellationToken);
                decoded++;
            }
            catch (ProblemException e)
            {
                e.Problems[0].Code.Exit.ShouldBe(ExitCode.Art);
                refused++;
            }
        }

        (decoded + refused).ShouldBe(files);
        decoded.ShouldBeGreaterThan(0);
        refused.ShouldBeGreaterThan(0);
        TestContext.Current.TestOutputHelper?.WriteLine($"{files} workers: {decoded} decoded, {refused} refused");
    }

    [Fact]
    public void Files_that_need_conversion_are_read_in_jailed_workers()
    {
        NeedsJail();
        using var workers = new WorkerPool(new WorkerLimits(TimeSpan.FromSeconds(60), 512), new WorkerProgram(Worker));
        foreach (byte[] file in Mutation.ConvertedSeeds())
        {
            new ArtFile("harbor-run", file, "").Decode(workers, TestContext.Current.CancellationToken).Art.PixelCount.ShouldBeGreaterThan(0);
        }
    }

    // The library's warnings and errors must not be what a worker is killed for: fields out of order (which TIFF 6.0, section 2, forbids)
    // and private ones are harmless, and pixel data of nonsense is damage.
    [Fact]
    public void What_the_library_warns_of_is_read_or_called_damaged()
    {
        NeedsJail();
        using var workers = new WorkerPool(new WorkerLimits(TimeSpan.FromSeconds(60), 512), new WorkerProgram(Worker));
        byte[] odd = (new TestTiff(40, 30, 8, 3) { Fields = [(65000, 3, [1])] }).Bytes();
        var entries = odd.AsSpan(Entry(odd, 256), 24);
        byte[] first = entries[..12].ToArray();
        entries[12..24].CopyTo(entries);
        first.CopyTo(entries[12..]);
        var cancel = TestContext.Current.CancellationToken;
        new ArtFile("harbor-run.tif", odd, "").Decode(workers, cancel).Art.PixelCount.ShouldBe(1200);

        byte[] nonsense = (new TestTiff(40, 30, 8, 3) { Compression = 5, RowsPerStrip = 30 }).Bytes();
        int at = BinaryPrimitives.ReadInt32LittleEndian(nonsense.AsSpan(Entry(nonsense, 273) + 8));
        nonsense.AsSpan(at, 60).Fill(0xFF);
        Should.Throw<ProblemException>(() => new ArtFile("harbor-run.tif", nonsense, "").Decode(workers, cancel)).Problems[0].Code.ShouldBe(Codes.DamagedPicture);
    }

    private static int Entry(byte[] file, int tag)
    {
        int directory = BinaryPrimitives.ReadInt32LittleEndian(file.AsSpan(4)), count = BinaryPrimitives.ReadUInt16LittleEndian(file.AsSpan(directory));
        return Enumerable.Range(0, count).Select(i => directory + 2 + (12 * i)).First(at => BinaryPrimitives.ReadUInt16LittleEndian(file.AsSpan(at)) == tag);
    }

    [Fact]
    public void What_a_decoder_left_is_for_the_next_worker_what_is_sent_to_it()
    {
        NeedsJail();
        var cancel = TestContext.Current.CancellationToken;
        byte[] file = PngWriter.Encode(Plane<Rgba8>.FromContiguous(301, 47, Enumerable.Range(0, 301 * 47).Select(i => new Rgba8((byte)i, (byte)(i / 301), (byte)(i / 7))).ToArray()));
        using var workers = new WorkerPool(new WorkerLimits(TimeSpan.FromSeconds(60), 512), new WorkerProgram(Worker));
        var plain = new ArtFile("harbor-run.png", file, "").Decode(workers, cancel).Art;
        workers.LeftOf(plain).ShouldBeNull();

        // Where a run is to come.
        workers.Expect("run", 1);
        var art = new ArtFile("harbor-run.png", file, "").Decode(workers, cancel).Art;
        var left = workers.LeftOf(art).ShouldNotBeNull();
        workers.LeftOf(plain).ShouldBeNull();
        Picture(null).ShouldBe(Picture(left));

        workers.LetGo(art);
        workers.LeftOf(art).ShouldBeNull();

        byte[] Picture(SealedPart? there) => workers.Ask(new WorkerJob<byte[]>("jpeg", 512 << 20, 1 << 20,
            stream =>
            {
                Message.Write(stream, new JpegRequest(90));
                if (there is null)
                {
                    PatchFrame.Write(stream, ArtworkPatch.Between(null, art));
                }
            },
            stream => Frame.Read(stream, Frame.Bytes, 1 << 20)) { Art = there }, cancel);
    }

    // One byte for each file that was begun.
    private static byte[] Decode(IEnumerable<byte[]> files)
    {
        using var request = SharedMemory.Holding(stream =>
        {
            foreach (byte[] file in files)
            {
                Frame.Write(stream, Frame.Bytes, file);
            }
        });
        using var answer = SharedMemory.ForAnswer(Batch);
        using var process = JailedProcess.Start(WorkerProgram.Dotnet,
            ["exec", Path.Combine(AppContext.BaseDirectory, "recipes-fuzz.dll"), Environment.ProcessId.ToString(CultureInfo.InvariantCulture), "600", "3000000000"],
            WorkerProgram.Environment(1536 << 20), ProgramFolder.Runtime, AppContext.BaseDirectory);
        process.GiveJob(request, answer);
        bool ready = false;
        for (int waits = 0; waits < 1200; waits++)
        {
            var result = process.Wait(100, out _);
            if (result == WaitResult.Gone || (result == WaitResult.Message && ready))
            {
                break;
            }

            ready |= result == WaitResult.Message;
        }

        process.Kill();
        ready.ShouldBeTrue(process.ErrorText());
        return answer.Read(answer.Length, stream =>
        {
            var outcomes = new byte[Batch];
            stream.ReadExactly(outcomes);
            return outcomes.TakeWhile(outcome => outcome != 0).ToArray();
        });
    }

    private static void NeedsJail()
    {
        Oracle.Require();
        Assert.SkipUnless(JailSupport.CanConfine, "needs a system that can confine");
    }
}
