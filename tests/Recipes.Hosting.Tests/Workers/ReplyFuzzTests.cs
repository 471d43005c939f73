using System.Collections.Immutable;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Library;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Tests.Work;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Protocol;
using Recipes.Tests;

namespace Recipes.Hosting.Tests.Workers;

/// <summary>Answers with a few bytes changed, cut, doubled or inserted: an artwork of the right size, or a problem; never a fault.</summary>
public sealed class ReplyFuzzTests
{
    private static readonly RecipeSource Source = new("fuzz", "fuzz.csx", "", [], "");

    private static readonly GarmentSetup Setup = new() { Name = "small", PlatenWidth = 2, PlatenHeight = 1.5 };

    // A hundredth each time; all of it with RECIPES_FUZZ=all.
    private static int Rounds => Environment.GetEnvironmentVariable("RECIPES_FUZZ") == "all" ? 10_000 : 1000;

    [Fact]
    public void A_recipe_s_answer()
    {
        var before = Sample.Noise(3, 200, 150);
        var after = before.WithLayers(before.Layers.Add(Layer.Replace("printable whites", LayerIntent.MakePrintable, before.Layers[0].Pixels,
            Plane<byte>.FromContiguous(200, 150, Enumerable.Range(0, 30_000).Select(i => (byte)(i % 3 == 0 ? 255 : 0)).ToArray()))));
        using var good = new MemoryStream();
        Message.Write(good, new RunReply(
            [], ["30 pixels will print."], [new RegionListMessage("enclosed white", [new RegionMessage(1, new Box(1, 2, 3, 4), 12, true)])], [], [], true,
            false, false, false));
        PatchFrame.Write(good, ArtworkPatch.Between(before, after));
        PatchFrame.Write(good, after.Layers[1].Coverage!);
        Fuzz(good.ToArray(), stream =>
        {
            var answer = RecipeRunner.ReadAnswer(stream, Source, before, Setup);
            answer.After.Grid.ShouldBe(before.Grid);
            answer.After.Layers[0].ShouldBe(before.Layers[0]);
        });
    }

    [Fact]
    public void A_recipe_s_answer_of_another_size()
    {
        var before = Sample.Noise(5, 60, 50);
        var after = Platen.Place(before, new Box(10, 20, 90, 75), Setup, 100);
        var reply = new RunReply([], [], [], [], [], false, false, false, false, SizeChange: true, Edge: after.Ground.Edge, Scale: after.Ground.Scale);
        Fuzz(Answer(reply, after), stream =>
        {
            var answer = RecipeRunner.ReadAnswer(stream, Source, before, Setup);
            answer.Declared.ShouldBe(new Declaration(SizeChange: true));
            Setup.PlatenAt(answer.After.PixelsPerInch!.Value).ShouldBe(new Box(0, 0, answer.After.Width, answer.After.Height));
            answer.After.Layers.Length.ShouldBe(1);
            answer.After.Ground.Scale.ShouldBeInRange(Ground.LeastScale, Ground.MostScale);
        });

        // Undeclared; declared with something else; another size than the platen's; a second layer.
        foreach (var (lie, art) in new (RunReply, Artwork)[]
            {
                (reply with { SizeChange = false }, after),
                (reply with { Edge = null }, after),
                (reply with { Scale = null }, after),
                (reply with { Scale = 0 }, after),
                (reply with { Scale = -1 }, after),
                (reply with { Scale = 1e7 }, after),
                (reply with { Scale = double.NaN }, after),
                (reply with { Edge = new Box(0, 0, after.Width + 1, 1) }, after),
                (reply with { Bare = true }, after),
                (reply, Artwork.FromPixels(after.Flat, 101)),
                (reply, Artwork.FromPixels(after.Flat)),
                (reply, Sample.Noise(6, 199, 150)),
                (reply, after.WithLayer(Layer.Over("more", after.Flat))),
                (reply, after.WithLayers([after.Layers[0].WithVisible(false)])),
            })
        {
            using var stream = new MemoryStream(Answer(lie, art));
            Should.Throw<FrameException>(() => RecipeRunner.ReadAnswer(stream, Source, before, Setup));
        }

        byte[] Answer(RunReply reply, Artwork art)
        {
            using var stream = new MemoryStream();
            Message.Write(stream, reply);
            PatchFrame.Write(stream, ArtworkPatch.Between(before, art));
            return stream.ToArray();
        }
    }

    [Fact]
    public void A_decoder_s_answer()
    {
        var art = Sample.Noise(4, 200, 150);
        using var good = new MemoryStream();
        Message.Write(good, new DecodeReply([], false, "PNG", "8-bit RGB", ["turned upright"], null));
        PatchFrame.Write(good, ArtworkPatch.Between(null, art));
        Fuzz(good.ToArray(), stream => ArtFile.ReadAnswer(stream, "harbor-run.png")?.Art.Layers.Length.ShouldBeInRange(1, Artwork.MostLayers));
    }

    // Every tile of them has one value, so that an answer of some kilobytes would have the host put layers together for minutes.
    [Fact]
    public void Layers_are_bounded_together()
    {
        var plane = Plane<Rgba8>.OneValue(20_000, 10_000, new Rgba8(1, 2, 3, 128));
        var art = Artwork.FromPixels(plane);
        for (int i = 1; i < 10; i++)
        {
            art = art.WithLayer(Layer.Over("sail", plane));
        }

        Decoded(art).ShouldNotBeNull();
        Decoded(art.WithLayer(Layer.Over("sail", plane).WithVisible(false))).ShouldNotBeNull();
        Should.Throw<FrameException>(() => Decoded(art.WithLayer(Layer.Over("sail", plane))));

        var before = Artwork.FromPixels(plane);
        var fill = Layer.Replace("fill", LayerIntent.Fill, plane, Plane<byte>.OneValue(20_000, 10_000, 128));
        Ran(before, 10).ShouldNotBeNull();
        Should.Throw<FrameException>(() => Ran(before, 11));

        static DecodedFile? Decoded(Artwork art)
        {
            using var stream = new MemoryStream();
            Message.Write(stream, new DecodeReply([], false, "OpenRaster", "layers", [], null));
            PatchFrame.Write(stream, ArtworkPatch.Between(null, art));
            stream.Position = 0;
            return ArtFile.ReadAnswer(stream, "harbor-run.ora");
        }

        Artwork Ran(Artwork before, int layers)
        {
            var after = Enumerable.Range(0, layers).Aggregate(before, (art, _) => art.WithLayer(fill));
            using var stream = new MemoryStream();
            Message.Write(stream, new RunReply([], [], [], [], [], false, false, false, false));
            PatchFrame.Write(stream, ArtworkPatch.Between(before, after));
            stream.Position = 0;
            return RecipeRunner.ReadAnswer(stream, Source, before, Setup).After;
        }
    }

    // What a worker reads where it lies is told by another worker, and the memory behind it is the reader's own.
    [Fact]
    public void An_art_that_is_read_where_it_lies()
    {
        var art = Sample.Noise(7, 200, 150).WithLayer(Layer.Over("sail", Plane<Rgba8>.OneValue(200, 150, Rgba8.White)));
        using var good = new MemoryStream();
        PatchFrame.Write(good, ArtworkPatch.Between(null, art));
        Artwork? copied = null;
        Fuzz(good.ToArray(),
            stream =>
            {
                copied = null;
                copied = Read(stream, inPlace: false);
            },
            stream =>
            {
                var lying = Read(stream, inPlace: true);
                // Where only this one is taken, the two outcomes differ, and that is seen there.
                (copied is null || lying.Flat.SameSamples(copied.Flat)).ShouldBeTrue();
            });

        static Artwork Read(Stream stream, bool inPlace) => WorkerAnswer.Build(() => PatchFrame.Read(stream, 0, null, inPlace: inPlace).ApplyTo(null));
    }

    // The frame says that the last samples are there, and the memory ends before them; what lies behind it is another's.
    [Theory]
    [InlineData(1)]
    [InlineData(1000)]
    public unsafe void Samples_behind_the_end_of_mapped_memory_are_not_read(int missing)
    {
        var art = Sample.Noise(9, 200, 150);
        using MemoryStream pixels = new(), coverage = new();
        PatchFrame.Write(pixels, ArtworkPatch.Between(null, art));
        PatchFrame.Write(coverage, Plane<byte>.FromContiguous(200, 150, Enumerable.Range(0, 30_000).Select(i => (byte)i).ToArray()));
        foreach (var (bytes, read) in new (byte[], Action<Stream>)[]
            {
                (pixels.ToArray(), stream => PatchFrame.Read(stream, 0, null)),
                (pixels.ToArray(), stream => PatchFrame.Read(stream, 0, null, inPlace: true)),
                (coverage.ToArray(), stream => PatchFrame.ReadCoverage(stream, art.Grid)),
            })
        {
            fixed (byte* start = bytes)
            {
                using (var whole = new UnmanagedMemoryStream(start, bytes.Length))
                {
                    read(whole);
                }

                using var cut = new UnmanagedMemoryStream(start, bytes.Length - missing);
                Should.Throw<FrameException>(() => read(cut));
            }
        }
    }

    // Samples go to mapped memory from several threads, and to any other stream one after the other.
    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    [InlineData(100_000)]
    public unsafe void An_art_in_mapped_memory_is_the_same_bytes(int missing)
    {
        var art = Sample.Noise(8, 700, 600);
        art = art.WithLayer(Layer.Replace("sail", LayerIntent.Fill, art.Flat, Plane<byte>.FromContiguous(700, 600, Enumerable.Range(0, 420_000).Select(i => (byte)(i / 7)).ToArray())));
        using var good = new MemoryStream();
        PatchFrame.Write(good, ArtworkPatch.Between(null, art));
        byte[] bytes = new byte[good.Length - missing];
        fixed (byte* start = bytes)
        {
            using var memory = new UnmanagedMemoryStream(start, bytes.Length, bytes.Length, FileAccess.Write);
            if (missing > 0)
            {
                Should.Throw<NotSupportedException>(() => PatchFrame.Write(memory, ArtworkPatch.Between(null, art)));
                return;
            }

            PatchFrame.Write(memory, ArtworkPatch.Between(null, art));
            memory.Position.ShouldBe(bytes.Length);
        }

        bytes.ShouldBe(good.ToArray());
    }

    [Theory]
    [InlineData(12, 5, 5)]
    [InlineData(12, 5, 4)]
    [InlineData(12, 0, 0)]
    [InlineData(11, 5, 0)]
    public unsafe void A_file_that_is_read_where_it_lies(int header, int told, int there)
    {
        using var whole = new MemoryStream();
        Frame.Write(whole, Frame.Bytes, new byte[told]);
        byte[] bytes = whole.ToArray()[..(header + there)];
        fixed (byte* start = bytes)
        {
            using var memory = new UnmanagedMemoryStream(start, bytes.Length);
            using var plain = new MemoryStream(bytes);
            if (header + there < whole.Length)
            {
                Should.Throw<FrameException>(() => Frame.ReadInPlace(memory, Frame.Bytes, 100)).Message.ShouldBe(Should.Throw<FrameException>(() => Frame.Read(plain, Frame.Bytes, 100)).Message);
                return;
            }

            Frame.ReadInPlace(memory, Frame.Bytes, 100).ToArray().ShouldBe(Frame.Read(plain, Frame.Bytes, 100));
            memory.Position = plain.Position = 0;
            if (told > 0)
            {
                Should.Throw<FrameException>(() => Frame.ReadInPlace(memory, Frame.Bytes, told - 1)).Message.ShouldBe(Should.Throw<FrameException>(() => Frame.Read(plain, Frame.Bytes, told - 1)).Message);
            }
        }
    }

    [Fact]
    public void A_compiler_s_answer()
    {
        using var good = new MemoryStream();
        Message.Write(good, new CompileReply([], new RecipeSpec("Make whites printable", "Keeps whites.", 1, "recipes dry-run fuzz art.png", [])));
        Frame.Write(good, Frame.Bytes, [.. Enumerable.Range(0, 2000).Select(i => (byte)i)]);
        Fuzz(good.ToArray(), stream => ReadyRecipe.ReadAnswer(stream, Source).Spec.Title.Length.ShouldBeLessThanOrEqualTo(200));
    }

    [Fact]
    public void A_told_problem_has_a_code_of_its_kind()
    {
        using var reply = new MemoryStream();
        Message.Write(reply, new DecodeReply([new ProblemMessage("R9001", "x", "y", null, null, null)], false, "", "", [], null));
        reply.Position = 0;
        Should.Throw<FrameException>(() => ArtFile.ReadAnswer(reply, "harbor-run.png"));
    }

    [Theory]
    [InlineData("fuzz.csx", 3, 1, "fuzz.csx(3,1)")]
    [InlineData("snippets/sail.csx", 1, 5, "snippets/sail.csx(1,5)")]
    [InlineData("snippets/sail.csx", 2, 5, "snippets/sail.csx")]
    [InlineData("other.csx", 2, 4, "fuzz.csx(2,4)")]
    [InlineData("fuzz.csx", 4, 1, "fuzz.csx")]
    [InlineData("fuzz.csx", 0, 1, "fuzz.csx")]
    [InlineData("fuzz.csx", int.MaxValue, 1, "fuzz.csx")]
    [InlineData("fuzz.csx", 2, -7, "fuzz.csx(2,1)")]
    [InlineData("fuzz.csx", 2, 1_000, "fuzz.csx(2,1)")]
    public void A_told_place_lies_in_the_recipe_s_text(string file, int line, int column, string place)
    {
        var source = Source with { Text = "int a = 1;\nint b = 2;\nint c = 3;", Loads = [new LoadedText("snippets/sail.csx", "int d = 4;")] };
        source.PlaceOf(new ProblemMessage("R2004", "x", "y", file, line, column)).ToString().ShouldBe(place);
    }

    // Both from an array and from mapped memory, as the host has it: what is taken, and why not, is the same.
    private static void Fuzz(byte[] good, Action<Stream> read, Action<Stream>? readMapped = null)
    {
        readMapped ??= read;
        // Four changes of at most 100 bytes each.
        using var memory = new GuardedMemory(good.Length + 400);
        using (MemoryStream stream = new(good))
        using (var mapped = memory.Hold(good))
        {
            read(stream);
            readMapped(mapped);
            (stream.Position, mapped.Position).ShouldBe((good.Length, good.Length));
        }

        var random = new Random(20261125);
        int refused = 0;
        for (int i = 0; i < Rounds; i++)
        {
            byte[] bytes = Mutate(good, random);
            using MemoryStream stream = new(bytes);
            using var mapped = memory.Hold(bytes);
            string? told = Told(read, stream);
            Told(readMapped, mapped).ShouldBe(told, $"round {i}");
            refused += told is null ? 0 : 1;
        }

        refused.ShouldBeGreaterThan(0);
    }

    // Why it was refused, or null where it was taken.
    private static string? Told(Action<Stream> read, Stream stream)
    {
        try
        {
            read(stream);
            return null;
        }
        catch (Exception e) when (e is FrameException || (e is ProblemException problem && problem.Problems.All(p => p.Code.Exit is ExitCode.Art or ExitCode.RecipeRefused or ExitCode.RecipeFailed)))
        {
            return e.Message;
        }
    }

    // Most of an answer is pixels, where any byte is valid; so half of the changes go where the structure lies, into the first kilobyte.
    private static byte[] Mutate(byte[] good, Random random)
    {
        var bytes = good.ToList();
        for (int n = random.Next(1, 5); n > 0 && bytes.Count > 0; n--)
        {
            int at = random.Next(random.Next(2) == 0 ? Math.Min(1024, bytes.Count) : bytes.Count);
            if (random.Next(6) > 0)
            {
                Damage.Do(bytes, at, 100, random);
            }
            else
            {
                bytes.RemoveRange(at + 1, bytes.Count - at - 1);
            }
        }

        return [.. bytes];
    }
}
