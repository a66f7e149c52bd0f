import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

from fund.wholeschema import WholeSchema


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        WholeSchema([
        migrations.CreateModel(
            name='PublicWording',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('repair', models.CharField(db_index=True, max_length=20)),
                ('text', models.CharField(max_length=400)),
                ('at', models.DateTimeField()),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['id'],
            },
        ),
        migrations.CreateModel(
            name='PublishedMonth',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('month', models.CharField(max_length=7)),
                ('version', models.PositiveSmallIntegerField(default=1)),
                ('record', models.TextField()),
                ('digest', models.CharField(max_length=64, unique=True)),
                ('prev_digest', models.CharField(blank=True, max_length=64, unique=True)),
                ('same_person_reason', models.CharField(blank=True, max_length=200)),
                ('published_at', models.DateTimeField()),
                ('prepared_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('reviewed_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-month', '-version'],
            },
        ),
        migrations.CreateModel(
            name='PublishedFile',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=60)),
                ('content_type', models.CharField(max_length=60)),
                ('content', models.BinaryField()),
                ('sha256', models.CharField(max_length=64)),
                ('published', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='files', to='reports.publishedmonth')),
            ],
            options={
                'ordering': ['name'],
            },
        ),
        migrations.CreateModel(
            name='Verification',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('rows', models.PositiveIntegerField()),
                ('state', models.CharField(choices=[('running', 'running'), ('done', 'done'), ('refused', 'refused')], default='running', max_length=10)),
                ('answer', models.TextField(blank=True)),
                ('details', models.JSONField(default=list)),
                ('started_at', models.DateTimeField()),
                ('ended_at', models.DateTimeField(null=True)),
                ('counts', models.JSONField(default=dict)),
                ('proved', models.JSONField(default=list)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-id'],
            },
        ),
        migrations.AddConstraint(
            model_name='publishedmonth',
            constraint=models.UniqueConstraint(fields=('month', 'version'), name='published_month_once'),
        ),
        migrations.AddConstraint(
            model_name='publishedfile',
            constraint=models.UniqueConstraint(fields=('published', 'name'), name='published_file_once'),
        ),
        ]),
    ]
