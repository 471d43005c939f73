using System.Collections.Immutable;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Library;
using Recipes.Hosting.Reports;
using Recipes.Imaging;
using Recipes.Protocol;

namespace Recipes.Hosting.Runs;

/// <summary>What a kept run found: all of its report but what the digest of its inputs stands for already.</summary>
/// <remarks>Only the build that wrote it reads it, and only where the cache's MAC holds, so there is no version and nothing to judge.</remarks>
internal sealed record CachedReport(
    ArtChange Change, DeclaredCount Declared, ImmutableArray<GuardResult> Guards, ImmutableArray<string> Notes,
    ImmutableArray<ReportedRegions> Regions, ImmutableArray<ReportedColors> Colors, ImmutableArray<ReportedRegion> Whites, Box? WhitesEdge,
    ImmutableArray<AskedQuestion> Questions, Ground Ground) : IMessage<CachedReport>
{
    /// <summary>What is kept of a report.</summary>
    public static CachedReport Of(RunReport report) =>
        new(report.Change, report.Declared, report.Guards, report.Notes, report.Regions, report.Colors, report.Whites, report.WhitesEdge, report.Questions,
            report.Ground);

    /// <inheritdoc/>
    public static CachedReport Read(MessageReader reader) => new(
        new ArtChange(
            reader.Flag() ? new ArtworkDiff(reader.LongNumber(), reader.OptionalBox(), reader.Number()) : null,
            new InkChange(ReadCount(reader), ReadCount(reader), reader.LongNumber(), reader.LongNumber()),
            reader.List(from => new ColorMove(from.Color(), from.Color(), from.LongNumber())),
            reader.Flag() ? reader.LongNumber() : null,
            reader.Flag() ? new ResolutionChange(reader.OptionalRealNumber(), reader.OptionalRealNumber()) : null),
        new DeclaredCount(reader.LongNumber(), reader.LongNumber(), reader.LongNumber(), reader.LongNumber(), reader.Flag(), reader.OptionalText()),
        reader.List(from => new GuardResult(from.Text(), (GuardPolicy)from.Number(), from.LongNumber(),
            (GuardOutcome)from.Number(), from.OptionalBox(), from.Text())),
        reader.List(from => from.Text()),
        reader.List(from => new ReportedRegions(from.Text(), from.List(ReadRegion))),
        reader.List(from => new ReportedColors(from.Text(), from.List(color => new ReportedColor(color.Color(), color.LongNumber())), from.Number())),
        reader.List(ReadRegion),
        reader.OptionalBox(),
        reader.List(ReadQuestion),
        GroundMessage.Read(reader));

    /// <inheritdoc/>
    public void Write(MessageWriter writer)
    {
        WriteChange(writer);
        WriteDeclared(writer);
        WriteFound(writer);
        GroundMessage.Write(writer, Ground);
    }

    private void WriteChange(MessageWriter writer)
    {
        writer.Flag(Change.Pixels is not null);
        if (Change.Pixels is { } changed)
        {
            writer.Number(changed.Pixels);
            writer.Optional(changed.Box);
            writer.Number(changed.LargestDelta);
        }

        Write(writer, Change.Ink.Before);
        Write(writer, Change.Ink.After);
        writer.Number(Change.Ink.Gained);
        writer.Number(Change.Ink.Lost);
        writer.List(Change.Moves, move =>
        {
            writer.Color(move.From);
            writer.Color(move.To);
            writer.Number(move.Pixels);
        });
        writer.Flag(Change.White is not null);
        if (Change.White is { } white)
        {
            writer.Number(white);
        }

        writer.Flag(Change.Resolution is not null);
        if (Change.Resolution is { } resolution)
        {
            writer.Optional(resolution.Before);
            writer.Optional(resolution.After);
        }
    }

    private void WriteDeclared(MessageWriter writer)
    {
        writer.Number(Declared.Printable);
        writer.Number(Declared.Bare);
        writer.Number(Declared.DroppedBlack);
        writer.Number(Declared.PrintedBlack);
        writer.Flag(Declared.SizeChange);
        writer.Optional(Declared.SizedBy);
        writer.List(Guards, guard =>
        {
            writer.Text(guard.Name);
            writer.Number((int)guard.Policy);
            writer.Number(guard.Pixels);
            writer.Number((int)guard.Outcome);
            writer.Optional(guard.Box);
            writer.Text(guard.Why);
        });
    }

    private void WriteFound(MessageWriter writer)
    {
        writer.List(Notes, writer.Text);
        writer.List(Regions, list =>
        {
            writer.Text(list.Title);
            writer.List(list.Regions, region => Write(writer, region));
        });
        writer.List(Colors, list =>
        {
            writer.Text(list.Title);
            writer.List(list.Colors, color =>
            {
                writer.Color(color.Color);
                writer.Number(color.Pixels);
            });
            writer.Number(list.Others);
        });
        writer.List(Whites, region => Write(writer, region));
        writer.Optional(WhitesEdge);
        writer.List(Questions, question => Write(writer, question));
    }

    /// <summary>The whole report again.</summary>
    /// <param name="recipe">The recipe or list that ran.</param>
    /// <param name="state">The state that it ran on.</param>
    /// <param name="values">Its parameters.</param>
    public RunReport Whole(RecipeIdentity recipe, ArtState state, ParameterValues values) => new()
    {
        Recipe = recipe,
        Art = state.Identity,
        FromStep = state.Step,
        Parameters = values.Given,
        Setup = state.Setup,
        SetupIsFallback = state.SetupIsFallback,
        Change = Change,
        Declared = Declared,
        Guards = Guards,
        Notes = Notes,
        Regions = Regions,
        Colors = Colors,
        Whites = Whites,
        WhitesEdge = WhitesEdge,
        Questions = Questions,
        Ground = Ground,
    };

    private static void Write(MessageWriter writer, ReportedRegion region)
    {
        writer.Number(region.Number);
        writer.Box(region.Box);
        writer.Number(region.Pixels);
        writer.Flag(region.Chosen);
        writer.Text(region.Class);
    }

    private static ReportedRegion ReadRegion(MessageReader reader) => new(reader.Number(), reader.Box(), reader.LongNumber(), reader.Flag(), reader.Text());

    private static void Write(MessageWriter writer, AskedQuestion question)
    {
        writer.Text(question.Code);
        writer.Number(question.Step);
        writer.Text(question.Recipe);
        writer.Text(question.Message);
        writer.List(question.Regions, region => Write(writer, region));
        writer.Text(question.Proposal);
        writer.Text(question.Answer);
        writer.Optional(question.Decision);
        writer.Optional(question.Edge);
    }

    private static AskedQuestion ReadQuestion(MessageReader reader) =>
        new(reader.Text(), reader.Number(), reader.Text(), reader.Text(), reader.List(ReadRegion), reader.Text(), reader.Text())
        {
            Decision = reader.OptionalText(),
            Edge = reader.OptionalBox(),
        };

    private static void Write(MessageWriter writer, InkCount count)
    {
        writer.Number(count.Prints);
        writer.Number(count.BareWhite);
        writer.Number(count.BareBlack);
        writer.Number(count.Transparent);
    }

    private static InkCount ReadCount(MessageReader reader) => new(reader.LongNumber(), reader.LongNumber(), reader.LongNumber(), reader.LongNumber());
}
