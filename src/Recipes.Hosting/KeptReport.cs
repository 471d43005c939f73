using System.Collections.Immutable;
using System.Text;
using Recipes.Imaging;

namespace Recipes.Hosting;

/// <summary>
/// What a kept run found, as bytes: all of its report but what the digest of its inputs stands for already. Field after field
/// instead of JSON, whose serializer costs a command more to set up than the rest of taking the run.
/// </summary>
/// <remarks>Only the build that wrote it reads it, and only where the cache's MAC holds, so there is no version and nothing to judge.</remarks>
internal static class KeptReport
{
    /// <summary>Writes it.</summary>
    public static byte[] ToBytes(RunReport report)
    {
        var buffer = new MemoryStream();
        var to = new BinaryWriter(buffer, Encoding.UTF8);
        to.Write(report.Changed is not null);
        if (report.Changed is { } changed)
        {
            to.Write(changed.Pixels);
            Write(to, changed.Box);
            to.Write(changed.LargestDelta);
        }

        Write(to, report.Ink.Before);
        Write(to, report.Ink.After);
        to.Write(report.Ink.Gained);
        to.Write(report.Ink.Lost);
        to.Write(report.Declared.Printable);
        to.Write(report.Declared.Bare);
        to.Write(report.Declared.DroppedBlack);
        to.Write(report.Declared.PrintedBlack);
        to.Write(report.Declared.SizeChange);
        Write(to, report.Guards, guard =>
        {
            to.Write(guard.Name);
            to.Write((int)guard.Policy);
            to.Write(guard.Pixels);
            to.Write((int)guard.Outcome);
            Write(to, guard.Box);
            to.Write(guard.Why);
        });
        Write(to, report.Notes, to.Write);
        Write(to, report.Regions, list =>
        {
            to.Write(list.Title);
            Write(to, list.Regions, region =>
            {
                to.Write(region.Number);
                Write(to, region.Box);
                to.Write(region.Pixels);
                to.Write(region.Chosen);
            });
        });
        Write(to, report.Colors, list =>
        {
            to.Write(list.Title);
            Write(to, list.Colors, color =>
            {
                Write(to, color.Color);
                to.Write(color.Pixels);
            });
            to.Write(list.Others);
        });
        Write(to, report.Moves, move =>
        {
            Write(to, move.From);
            Write(to, move.To);
            to.Write(move.Pixels);
        });
        return buffer.ToArray();
    }

    /// <summary>Reads it.</summary>
    /// <param name="bytes">What <see cref="ToBytes"/> gave.</param>
    /// <param name="recipe">The recipe or list that ran.</param>
    /// <param name="state">The state that it ran on.</param>
    /// <param name="values">Its parameters.</param>
    /// <exception cref="IOException">The bytes end early.</exception>
    public static RunReport Read(byte[] bytes, RecipeIdentity recipe, ArtState state, ParameterValues values)
    {
        var from = new BinaryReader(new MemoryStream(bytes), Encoding.UTF8);
        return new RunReport
        {
            Recipe = recipe,
            Art = state.Identity,
            FromStep = state.Step,
            Parameters = values.Given,
            Setup = state.Setup,
            SetupIsFallback = state.SetupIsFallback,
            Changed = from.ReadBoolean() ? new ArtworkDiff(from.ReadInt64(), Box(from), from.ReadInt32()) : null,
            Ink = new InkChange(Count(from), Count(from), from.ReadInt64(), from.ReadInt64()),
            Declared = new DeclaredCount(from.ReadInt64(), from.ReadInt64(), from.ReadInt64(), from.ReadInt64(), from.ReadBoolean()),
            Guards = Many(from, () => new GuardResult(from.ReadString(), (GuardPolicy)from.ReadInt32(), from.ReadInt64(), (GuardOutcome)from.ReadInt32(), Box(from), from.ReadString())),
            Notes = Many(from, from.ReadString),
            Regions = Many(from, () => new ReportedRegions(from.ReadString(),
                Many(from, () => new ReportedRegion(from.ReadInt32(), Box(from) ?? default, from.ReadInt64(), from.ReadBoolean())))),
            Colors = Many(from, () => new ReportedColors(from.ReadString(), Many(from, () => new ReportedColor(Color(from), from.ReadInt64())), from.ReadInt32())),
            Moves = Many(from, () => new ColorMove(Color(from), Color(from), from.ReadInt64())),
        };
    }

    private static void Write<T>(BinaryWriter to, ImmutableArray<T> list, Action<T> write)
        where T : class
    {
        to.Write(list.Length);
        foreach (var item in list)
        {
            write(item);
        }
    }

    private static ImmutableArray<T> Many<T>(BinaryReader from, Func<T> read)
        where T : class
    {
        var list = new T[from.ReadInt32()];
        for (int i = 0; i < list.Length; i++)
        {
            list[i] = read();
        }

        return ImmutableArray.Create(list);
    }

    private static void Write(BinaryWriter to, Box? box)
    {
        to.Write(box is not null);
        if (box is { } b)
        {
            to.Write(b.X);
            to.Write(b.Y);
            to.Write(b.Width);
            to.Write(b.Height);
        }
    }

    private static Box? Box(BinaryReader from) => from.ReadBoolean() ? new Box(from.ReadInt32(), from.ReadInt32(), from.ReadInt32(), from.ReadInt32()) : null;

    private static void Write(BinaryWriter to, InkCount count)
    {
        to.Write(count.Prints);
        to.Write(count.BareWhite);
        to.Write(count.BareBlack);
        to.Write(count.Transparent);
    }

    private static InkCount Count(BinaryReader from) => new(from.ReadInt64(), from.ReadInt64(), from.ReadInt64(), from.ReadInt64());

    private static void Write(BinaryWriter to, Rgba8 color)
    {
        to.Write(color.R);
        to.Write(color.G);
        to.Write(color.B);
        to.Write(color.A);
    }

    private static Rgba8 Color(BinaryReader from) => new(from.ReadByte(), from.ReadByte(), from.ReadByte(), from.ReadByte());
}
