using System.Collections.Immutable;
using Recipes.Imaging;

namespace Recipes.Protocol;

/// <summary>What crosses the process boundary: it writes its fields, and reads them in the same order.</summary>
/// <remarks>
/// By hand, since a serializer of the framework makes the runtime compile some hundred methods in each process before the first
/// field is read: docs/decisions/0010-ready-to-run.md.
/// </remarks>
public interface IMessage<out TSelf>
{
    /// <summary>Reads one.</summary>
    /// <exception cref="FrameException">The bytes hold none.</exception>
    static abstract TSelf Read(MessageReader reader);

    /// <summary>Writes this one.</summary>
    void Write(MessageWriter writer);
}

/// <summary>A problem as it crosses the process boundary; the host looks the code up and cleans the texts.</summary>
public sealed record ProblemMessage(string Code, string Message, string Hint, string? File, int? Line, int? Column) : IMessage<ProblemMessage>
{
    /// <inheritdoc/>
    public static ProblemMessage Read(MessageReader reader)
    {
        ArgumentNullException.ThrowIfNull(reader);
        return new(reader.Text(), reader.Text(), reader.Text(), reader.OptionalText(), reader.OptionalNumber(), reader.OptionalNumber());
    }

    /// <inheritdoc/>
    public void Write(MessageWriter writer)
    {
        ArgumentNullException.ThrowIfNull(writer);
        writer.Text(Code);
        writer.Text(Message);
        writer.Text(Hint);
        writer.Optional(File);
        writer.Optional(Line);
        writer.Optional(Column);
    }
}

/// <summary>A file that a recipe loads: its name as the recipe gives it and its text.</summary>
public sealed record LoadedText(string Name, string Text) : IMessage<LoadedText>
{
    /// <inheritdoc/>
    public static LoadedText Read(MessageReader reader)
    {
        ArgumentNullException.ThrowIfNull(reader);
        return new(reader.Text(), reader.Text());
    }

    /// <inheritdoc/>
    public void Write(MessageWriter writer)
    {
        ArgumentNullException.ThrowIfNull(writer);
        writer.Text(Name);
        writer.Text(Text);
    }
}

/// <summary>Asks a worker to compile a recipe.</summary>
/// <param name="Source">The text.</param>
/// <param name="Loads">Snippets, resolved by the host.</param>
public sealed record CompileRequest(string Source, ImmutableArray<LoadedText> Loads) : IMessage<CompileRequest>
{
    /// <summary>
    /// The recipe's file as workers know it, the same for every recipe: where it lies is none of its business. The host puts the true one
    /// in its place. No snippet has such a name.
    /// </summary>
    public const string RecipeFile = "recipe";

    /// <inheritdoc/>
    public static CompileRequest Read(MessageReader reader)
    {
        ArgumentNullException.ThrowIfNull(reader);
        return new(reader.Text(), reader.List(LoadedText.Read));
    }

    /// <inheritdoc/>
    public void Write(MessageWriter writer)
    {
        ArgumentNullException.ThrowIfNull(writer);
        writer.Text(Source);
        writer.List(Loads, load => load.Write(writer));
    }
}

/// <summary>The answer; where there are no problems, a <see cref="Frame.Bytes"/> frame with the assembly follows.</summary>
public sealed record CompileReply(ImmutableArray<ProblemMessage> Problems, RecipeSpec? Spec) : IMessage<CompileReply>
{
    /// <inheritdoc/>
    public static CompileReply Read(MessageReader reader)
    {
        ArgumentNullException.ThrowIfNull(reader);
        return new(reader.List(ProblemMessage.Read), reader.Flag() ? RecipeSpec.Read(reader) : null);
    }

    /// <inheritdoc/>
    public void Write(MessageWriter writer)
    {
        ArgumentNullException.ThrowIfNull(writer);
        writer.List(Problems, problem => problem.Write(writer));
        writer.Flag(Spec is not null);
        Spec?.Write(writer);
    }
}

/// <summary>Asks a worker to decode a picture; a <see cref="Frame.Bytes"/> frame with the file follows.</summary>
public sealed record DecodeRequest(string FileName) : IMessage<DecodeRequest>
{
    /// <inheritdoc/>
    public static DecodeRequest Read(MessageReader reader)
    {
        ArgumentNullException.ThrowIfNull(reader);
        return new DecodeRequest(reader.Text());
    }

    /// <inheritdoc/>
    public void Write(MessageWriter writer)
    {
        ArgumentNullException.ThrowIfNull(writer);
        writer.Text(FileName);
    }
}

/// <summary>The answer; where there are no problems and nothing to convert, a <see cref="Frame.Patch"/> frame with the picture follows.</summary>
/// <param name="Problems">Why there is no picture.</param>
/// <param name="NeedsConversion">The file needs a worker of the mode <c>convert</c>; nothing else of the answer counts.</param>
/// <param name="Format">The format's name.</param>
/// <param name="Mode">How pixels are stored.</param>
/// <param name="Notes">What reading did.</param>
/// <param name="Provenance">What an export of ours wrote into the file.</param>
public sealed record DecodeReply(
    ImmutableArray<ProblemMessage> Problems, bool NeedsConversion, string Format, string Mode, ImmutableArray<string> Notes, string? Provenance)
    : IMessage<DecodeReply>
{
    /// <inheritdoc/>
    public static DecodeReply Read(MessageReader reader)
    {
        ArgumentNullException.ThrowIfNull(reader);
        return new(reader.List(ProblemMessage.Read), reader.Flag(), reader.Text(), reader.Text(), reader.List(item => item.Text()), reader.OptionalText());
    }

    /// <inheritdoc/>
    public void Write(MessageWriter writer)
    {
        ArgumentNullException.ThrowIfNull(writer);
        writer.List(Problems, problem => problem.Write(writer));
        writer.Flag(NeedsConversion);
        writer.Text(Format);
        writer.Text(Mode);
        writer.List(Notes, writer.Text);
        writer.Optional(Provenance);
    }
}

/// <summary>Asks a worker to run a recipe; a frame with the assembly and one with the art follow.</summary>
/// <param name="Setup">The garment setup.</param>
/// <param name="Ground">What the figure lies on, as it was judged on the art as it came.</param>
/// <param name="Values">Every parameter's value, resolved.</param>
public sealed record RunRequest(GarmentSetup Setup, Ground Ground, ImmutableSortedDictionary<string, string> Values) : IMessage<RunRequest>
{
    /// <inheritdoc/>
    public static RunRequest Read(MessageReader reader)
    {
        ArgumentNullException.ThrowIfNull(reader);
        return new RunRequest(SetupMessage.Read(reader), GroundMessage.Read(reader), ReadValues(reader));
    }

    /// <inheritdoc/>
    public void Write(MessageWriter writer)
    {
        ArgumentNullException.ThrowIfNull(writer);
        SetupMessage.Write(writer, Setup);
        GroundMessage.Write(writer, Ground);
        writer.Number(Values.Count);
        foreach (var (name, value) in Values)
        {
            writer.Text(name);
            writer.Text(value);
        }
    }

    private static ImmutableSortedDictionary<string, string> ReadValues(MessageReader reader)
    {
        var values = ImmutableSortedDictionary.CreateBuilder<string, string>(StringComparer.Ordinal);
        for (int left = reader.Number(); left > 0; left--)
        {
            values[reader.Text()] = reader.Text();
        }

        return values.ToImmutable();
    }
}

/// <summary>One numbered region of a report list.</summary>
public sealed record RegionMessage(int Number, Box Box, long Pixels, bool Chosen, string Class = "") : IMessage<RegionMessage>
{
    /// <inheritdoc/>
    public static RegionMessage Read(MessageReader reader)
    {
        ArgumentNullException.ThrowIfNull(reader);
        return new(reader.Number(), reader.Box(), reader.LongNumber(), reader.Flag(), reader.Text());
    }

    /// <inheritdoc/>
    public void Write(MessageWriter writer)
    {
        ArgumentNullException.ThrowIfNull(writer);
        writer.Number(Number);
        writer.Box(Box);
        writer.Number(Pixels);
        writer.Flag(Chosen);
        writer.Text(Class);
    }
}

/// <summary>A list of numbered regions.</summary>
public sealed record RegionListMessage(string Title, ImmutableArray<RegionMessage> Regions) : IMessage<RegionListMessage>
{
    /// <inheritdoc/>
    public static RegionListMessage Read(MessageReader reader)
    {
        ArgumentNullException.ThrowIfNull(reader);
        return new(reader.Text(), reader.List(RegionMessage.Read));
    }

    /// <inheritdoc/>
    public void Write(MessageWriter writer)
    {
        ArgumentNullException.ThrowIfNull(writer);
        writer.Text(Title);
        writer.List(Regions, region => region.Write(writer));
    }
}

/// <summary>One question of a recipe.</summary>
public sealed record QuestionMessage(
    string Code, string Message, ImmutableArray<RegionMessage> Regions, string Proposal, string Answer, bool Decided) : IMessage<QuestionMessage>
{
    /// <inheritdoc/>
    public static QuestionMessage Read(MessageReader reader)
    {
        ArgumentNullException.ThrowIfNull(reader);
        return new(reader.Text(), reader.Text(), reader.List(RegionMessage.Read), reader.Text(), reader.Text(), reader.Flag());
    }

    /// <inheritdoc/>
    public void Write(MessageWriter writer)
    {
        ArgumentNullException.ThrowIfNull(writer);
        writer.Text(Code);
        writer.Text(Message);
        writer.List(Regions, region => region.Write(writer));
        writer.Text(Proposal);
        writer.Text(Answer);
        writer.Flag(Decided);
    }
}

/// <summary>One color of a report list.</summary>
public sealed record ColorMessage(string Color, long Pixels) : IMessage<ColorMessage>
{
    /// <inheritdoc/>
    public static ColorMessage Read(MessageReader reader)
    {
        ArgumentNullException.ThrowIfNull(reader);
        return new(reader.Text(), reader.LongNumber());
    }

    /// <inheritdoc/>
    public void Write(MessageWriter writer)
    {
        ArgumentNullException.ThrowIfNull(writer);
        writer.Text(Color);
        writer.Number(Pixels);
    }
}

/// <summary>A list of colors.</summary>
public sealed record ColorListMessage(string Title, ImmutableArray<ColorMessage> Colors, int Others) : IMessage<ColorListMessage>
{
    /// <inheritdoc/>
    public static ColorListMessage Read(MessageReader reader)
    {
        ArgumentNullException.ThrowIfNull(reader);
        return new(reader.Text(), reader.List(ColorMessage.Read), reader.Number());
    }

    /// <inheritdoc/>
    public void Write(MessageWriter writer)
    {
        ArgumentNullException.ThrowIfNull(writer);
        writer.Text(Title);
        writer.List(Colors, color => color.Write(writer));
        writer.Number(Others);
    }
}

/// <summary>
/// The answer; where there are no problems, a <see cref="Frame.Patch"/> frame follows, then one
/// <see cref="Frame.Coverage"/> frame for each declaration that is said to be there, in the order of the flags. Where the size
/// changed, <c>Edge</c> is where the picture as it came lies now, and <c>Scale</c> how many of its px lie in one; <c>Whole</c>
/// is where all of it lies, if the canvas cut some of it off.
/// </summary>
public sealed record RunReply(
    ImmutableArray<ProblemMessage> Problems,
    ImmutableArray<string> Notes,
    ImmutableArray<RegionListMessage> Regions,
    ImmutableArray<ColorListMessage> Colors,
    ImmutableArray<QuestionMessage> Questions,
    bool Printable,
    bool Bare,
    bool DroppedBlack,
    bool PrintedBlack,
    bool SizeChange = false,
    Box? Edge = null,
    double? Scale = null,
    Box? Whole = null) : IMessage<RunReply>
{
    /// <inheritdoc/>
    public static RunReply Read(MessageReader reader)
    {
        ArgumentNullException.ThrowIfNull(reader);
        return new(reader.List(ProblemMessage.Read), reader.List(item => item.Text()), reader.List(RegionListMessage.Read), reader.List(ColorListMessage.Read),
            reader.List(QuestionMessage.Read), reader.Flag(), reader.Flag(), reader.Flag(), reader.Flag(), reader.Flag(), reader.OptionalBox(),
            reader.OptionalRealNumber(), reader.OptionalBox());
    }

    /// <inheritdoc/>
    public void Write(MessageWriter writer)
    {
        ArgumentNullException.ThrowIfNull(writer);
        writer.List(Problems, problem => problem.Write(writer));
        writer.List(Notes, writer.Text);
        writer.List(Regions, list => list.Write(writer));
        writer.List(Colors, list => list.Write(writer));
        writer.List(Questions, question => question.Write(writer));
        writer.Flag(Printable);
        writer.Flag(Bare);
        writer.Flag(DroppedBlack);
        writer.Flag(PrintedBlack);
        writer.Flag(SizeChange);
        writer.Optional(Edge);
        writer.Optional(Scale);
        writer.Optional(Whole);
    }
}

/// <summary>Asks a worker for a JPEG of an art; a <see cref="Frame.Patch"/> frame follows, and a <see cref="Frame.Bytes"/> frame answers.</summary>
public sealed record JpegRequest(int Quality) : IMessage<JpegRequest>
{
    /// <inheritdoc/>
    public static JpegRequest Read(MessageReader reader)
    {
        ArgumentNullException.ThrowIfNull(reader);
        return new JpegRequest(reader.Number());
    }

    /// <inheritdoc/>
    public void Write(MessageWriter writer)
    {
        ArgumentNullException.ThrowIfNull(writer);
        writer.Number(Quality);
    }
}

/// <summary>Reads and writes messages as frames.</summary>
public static class Message
{
    /// <summary>The longest message taken, in bytes.</summary>
    public const int Longest = 8 * 1024 * 1024;

    /// <summary>Writes a message.</summary>
    public static void Write<T>(Stream stream, T message)
        where T : IMessage<T>
    {
        ArgumentNullException.ThrowIfNull(message);
        var writer = new MessageWriter();
        message.Write(writer);
        Frame.Write(stream, Frame.Message, writer.Written);
    }

    /// <summary>Reads a message.</summary>
    /// <exception cref="FrameException">The frame or what it holds is malformed.</exception>
    public static T Read<T>(Stream stream)
        where T : IMessage<T>
    {
        var reader = new MessageReader(Frame.Read(stream, Frame.Message, Longest));
        var message = T.Read(reader);
        reader.End();
        return message;
    }
}
