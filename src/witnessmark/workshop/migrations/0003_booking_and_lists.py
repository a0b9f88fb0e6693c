import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    """Booking on vehicles and jobs; views are made again, so their table is made anew."""

    dependencies = [
        ("workshop", "0002_people_and_pins"),
    ]

    operations = [
        migrations.AddField(
            model_name="vehicle", name="called", field=models.CharField(default="", max_length=200)
        ),
        migrations.AddField(
            model_name="vehicle", name="chassis", field=models.CharField(max_length=64, null=True)
        ),
        migrations.AddField(
            model_name="vehicle", name="engine", field=models.CharField(default="", max_length=100)
        ),
        migrations.AddField(
            model_name="vehicle", name="mileage", field=models.CharField(default="", max_length=40)
        ),
        migrations.AddField(
            model_name="job", name="complaint", field=models.CharField(max_length=64, null=True)
        ),
        migrations.AddField(
            model_name="job", name="contact", field=models.CharField(max_length=64, null=True)
        ),
        migrations.AddField(
            model_name="job", name="machine", field=models.CharField(default="", max_length=200)
        ),
        migrations.AddField(
            model_name="job", name="mileage", field=models.CharField(default="", max_length=40)
        ),
        migrations.AddField(
            model_name="job", name="moved", field=models.BigIntegerField(default=0)
        ),
        migrations.AddField(
            model_name="job", name="promised", field=models.CharField(default="", max_length=40)
        ),
        migrations.AddField(model_name="job", name="works", field=models.TextField(default="")),
        migrations.DeleteModel(name="View"),
        migrations.CreateModel(
            name="View",
            fields=[
                (
                    "job",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        primary_key=True,
                        serialize=False,
                        to="workshop.job",
                    ),
                ),
                ("moved", models.BigIntegerField()),
                ("outstanding", models.IntegerField()),
                ("closed", models.BooleanField()),
                ("events", models.IntegerField()),
                ("pack", models.CharField(max_length=64, null=True)),
                ("data", models.BinaryField()),
            ],
        ),
    ]
