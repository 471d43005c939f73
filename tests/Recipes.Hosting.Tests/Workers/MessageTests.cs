using System.Buffers.Binary;
using System.Collections.Immutable;
using System.Reflection;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Runs;
using Recipes.Imaging;
using Recipes.Imaging.Pictures;
using Recipes.Protocol;

namespace Recipes.Hosting.Tests.Workers;

/// <summary>Messages between host and workers carry every field, and nothing that their bytes don't hold.</summary>
public sealed class MessageTests
{
    private static readonly RecipeSpec Spec = new("Make whites printable", "Keeps whites.", 3, "recipes dry-run whites art.png",
        [
            new ParameterSpec("near", ParameterType.Levels, "24", 0, 255, [], "How near", 2),
            new ParameterSpec("where", ParameterType.Choice, "all", null, null, ["all", "enclosed"], "Which of them", 7),
        ])
    {
        RunOnce = "It chokes again.",
        LeavesBare = "The rim.",
        Expects = new ExpectationSpec("black-garment", "opaque", "10mm", "400mm"),
    };

    [Fact]
    public void Every_field_of_a_garment_setup_arrives()
    {
        var whole = new GarmentSetup
        {
            Name = "night-shift", Garment = new Rgba8(1, 2, 3), PlatenWidth = 10, PlatenHeight = 12, PixelsPerInch = 240,
            Ink = new InkRules { WhiteBare = false, BlackBare = true, TransparentBare = false, BrightestWhite = new Rgba8(253, 252, 251), DarkestBlack = new Rgba8(3, 4, 5), BareAs = BareAs.Transparent },
            Underbase = Underbase.File, SafeMargin = 0.5, InkLot = "W-17", Pretreatment = "P-4",
            Chart = new ChartReference("chart.txt", "ab", "2026-01-02"), InkConstants = new InkConstants(31.5, 1.07),
        };
        // Nothing stands at its default, so a field that is forgotten comes back as another one.
        var usual = new GarmentSetup { Name = "", PlatenWidth = 0, PlatenHeight = 0 };
        Fields(whole).Zip(Fields(usual)).ShouldAllBe(pair => !Equals(pair.First, pair.Second));
        Fields(whole.Ink).Zip(Fields(usual.Ink)).ShouldAllBe(pair => !Equals(pair.First, pair.Second));

        foreach (var setup in (GarmentSetup[])[whole, usual, whole with { Chart = new ChartReference("c", null, null), InkConstants = new InkConstants(null, 1) }])
        {
            var back = Through(new RunRequest(setup, Ground, ImmutableSortedDictionary<string, string>.Empty.Add("near", "24").Add("only", "2,5")));
            back.Setup.ShouldBe(setup);
            back.Ground.ShouldBe(Ground);
            back.Values.ShouldBe([new("near", "24"), new("only", "2,5")]);
        }

        Through(new RunRequest(whole with { Folder = "/somewhere" }, Ground, ImmutableSortedDictionary<string, string>.Empty)).Setup.Folder.ShouldBeNull();

        static IEnumerable<object?> Fields(object of) => of.GetType().GetProperties(BindingFlags.Instance | BindingFlags.Public)
            .Where(property => property.Name != nameof(GarmentSetup.Folder)).Select(property => property.GetValue(of));
    }

    private static readonly Ground Ground = new(ArtKind.Mixed, new Rgba8(250, 240, 230), new Box(1, 2, 3, 4));

    [Fact]
    public void Every_field_of_a_recipe_arrives()
    {
        var back = Through(new CompileReply([], Spec)).Spec!;
        back.ShouldBeEquivalentTo(Spec);
        Through(new CompileReply([new ProblemMessage("R2001", "It can't.", "Do.", "r.csx", 3, 4), new ProblemMessage("R2002", "", "", null, null, null)], null))
            .ShouldBeEquivalentTo(new CompileReply([new ProblemMessage("R2001", "It can't.", "Do.", "r.csx", 3, 4), new ProblemMessage("R2002", "", "", null, null, null)], null));
    }

    [Fact]
    public void Every_field_of_the_others_arrives()
    {
        Same(new CompileRequest("Art.Fill();", [new LoadedText("snippets/rim.csx", "// \u00e9 \U0001F426")]));
        Same(new DecodeRequest("puffin.png"));
        Same(new DecodeReply([], true, "PNG", "8-bit RGB", ["turned upright", "gray"], "step 3"));
        Same(new DecodeReply([], false, "", "", [], null));
        Same(new JpegRequest(85));
        Same(new RunReply([], ["30 pixels will print."], [new RegionListMessage("whites", [new RegionMessage(1, new Box(1, 2, 3, 4), 1L << 40, true)])],
            [new ColorListMessage("blacks", [new ColorMessage("#010203", 17)], 4)],
            [new QuestionMessage("edge-white", "Is it art?", [new RegionMessage(8, new Box(5, 6, 7, 8), 22, false)], "stays bare", "also=8", true)], true,
                false, true, false, true, new Box(9, 10, 11, 12)));
        Same(new RunReply([], [], [], [], [], false, true, false, true));

        static void Same<T>(T message)
            where T : IMessage<T> => Through(message).ShouldBeEquivalentTo(message);
    }

    [Fact]
    public void Every_field_of_a_kept_run_arrives()
    {
        var box = new Box(1, 2, 3, 4);
        var kept = new CachedReport(
            new ArtChange(new ArtworkDiff(1L << 40, box, 7), new InkChange(new InkCount(1, 2, 3, 4), new InkCount(5, 6, 7, 8), 9, 10), [new ColorMove(new Rgba8(5, 6, 7), new Rgba8(8, 9, 10), 20)], 1L << 41, new ResolutionChange(null, 299.9994)),
            new DeclaredCount(11, 12, 13, 14, true, "fit-to-platen"),
            [new GuardResult("added-ink", GuardPolicy.Refuse, 15, GuardOutcome.Refused, box, "It would print."), new GuardResult("printed-box", GuardPolicy.Allow, 0, GuardOutcome.Allowed, null, "")],
            ["one", "two"], [new ReportedRegions("whites", [new ReportedRegion(16, box, 17, true)])],
            [new ReportedColors("blacks", [new ReportedColor(new Rgba8(1, 2, 3, 4), 18)], 19)],
            [new ReportedRegion(20, box, 23, false, "edge-white")], new Box(0, 0, 8, 9),
            [new AskedQuestion("edge-white", 2, "printable-whites", "Is it art?", [new ReportedRegion(8, box, 21, false)], "stays bare",
                "printable-whites.also=8") { Decision = "by night", Edge = new Box(0, 0, 7, 6) }],
            Ground);
        Through(kept).ShouldBeEquivalentTo(kept);
        var none = kept with { Change = kept.Change with { Pixels = null, White = null, Resolution = null } };
        Through(none).ShouldBeEquivalentTo(none);
        Through(kept with { Change = kept.Change with { Pixels = new ArtworkDiff(0, null, 0) } }).Change.Pixels.ShouldBe(new ArtworkDiff(0, null, 0));
    }

    [Fact]
    public void A_message_cut_anywhere_is_refused()
    {
        byte[] whole = Bytes(new CompileReply([], Spec));
        for (int length = 12; length < whole.Length; length++)
        {
            using var stream = new MemoryStream();
            Frame.Write(stream, Frame.Message, whole.AsSpan(12, length - 12));
            stream.Position = 0;
            Should.Throw<FrameException>(() => Message.Read<CompileReply>(stream));
        }
    }

    [Fact]
    public void A_list_takes_memory_as_it_comes_and_not_as_it_says()
    {
        // It says that each further byte is an item; a place for each takes eight times the message. The first item is none.
        byte[] lie = new byte[Message.Longest];
        BinaryPrimitives.WriteInt32LittleEndian(lie, lie.Length - 4);
        lie.AsSpan(4, 4).Fill(0xff);
        using var stream = new MemoryStream();
        Frame.Write(stream, Frame.Message, lie);
        stream.Position = 0;
        long before = GC.GetAllocatedBytesForCurrentThread();
        Should.Throw<FrameException>(() => Message.Read<CompileReply>(stream));
        (GC.GetAllocatedBytesForCurrentThread() - before).ShouldBeLessThan(2L * Message.Longest);
    }

    [Theory]
    [InlineData("longer than its content", new byte[] { 1, 0, 0, 0, (byte)'a', 0 })]
    [InlineData("shorter than its content", new byte[] { 255, 255, 255, 127, (byte)'a' })]
    [InlineData("shorter than its content", new byte[] { 255, 255, 255, 255, (byte)'a' })]
    [InlineData("no text", new byte[] { 2, 0, 0, 0, 0xC3, 0x28 })]
    public void A_malformed_message_is_refused(string why, byte[] bytes)
    {
        using var stream = new MemoryStream();
        Frame.Write(stream, Frame.Message, bytes);
        stream.Position = 0;
        Should.Throw<FrameException>(() => Message.Read<DecodeRequest>(stream)).Message.ShouldContain(why);
    }

    private static T Through<T>(T message)
        where T : IMessage<T>
    {
        using var stream = new MemoryStream(Bytes(message));
        var back = Message.Read<T>(stream);
        stream.Position.ShouldBe(stream.Length);
        return back;
    }

    private static byte[] Bytes<T>(T message)
        where T : IMessage<T>
    {
        using var stream = new MemoryStream();
        Message.Write(stream, message);
        return stream.ToArray();
    }
}
